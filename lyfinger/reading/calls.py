"""Functions: their signatures, the typesetter's and those that a score defines, and the arguments that they take."""

from __future__ import annotations

from typing import Any

from ..source.messages import Refused
from .arguments import (
    EITHER_PREDICATES,
    MUSIC_PREDICATES,
    NOT_THERE,
    pair_ratio,
    scheme_symbols,
    scheme_text,
    unquoted,
)
from .contexts import STAFF_SETTINGS
from .layouts import settings_in
from .lexer import Flat
from .stream import NO_TOKEN
from .tokens import Held, TokenWriter
from .vocabulary import Signature, languages, pitch_names


class Calls(TokenWriter):
    """The part of the adapter that calls functions."""

    def _call(self, signature: Signature, token: Flat) -> None:
        """A function: takes its arguments, then says what the grammar is to expect."""
        given = list(signature.given)
        music = 0
        for index, (predicate, optional) in enumerate(signature.arguments):
            if self.stream.peek().text == "\\etc":
                self.stream.take()
                rest = signature.arguments[index:]
                partial = Signature(signature.name, rest, signature.result, signature.known, tuple(given))
                self._emit_partial(partial, token)
                return
            if predicate in MUSIC_PREDICATES:
                music += 1
                continue
            if music and predicate not in EITHER_PREDICATES:
                self._swallow(signature, ((("ly:music?", False),) * music) + signature.arguments[index:], token)
                return
            value = self._argument(predicate, optional)
            if value is NOT_THERE and predicate in EITHER_PREDICATES:
                music += 1
            elif value is NOT_THERE and not optional:
                self._emit("OPAQUE", f"an argument of {token.text} is not understood", token, self.stream.last_end)
                return
            else:
                given.append(None if value is NOT_THERE else value)
        self._emit_call(signature, tuple(given), music, token)

    def _emit_call(self, signature: Signature, given: tuple[Any, ...], music: int, token: Flat) -> None:
        end = self.stream.last_end
        name = signature.name
        if name == "afterGrace" and given[:1] == (None,):
            given = (pair_ratio(self.arguments.scalars.get("afterGraceFraction", "")), *given[1:])
        if not signature.known and signature.result in ("music", "void"):
            self._emit_foreign(signature, music, token)
        elif signature.result == "void":
            self._void(name, given, music, token)
        elif signature.result == "value":
            for _ in range(music):
                self.stream.take_music()
            self._emit("SCALAR", token.text, token, self.stream.last_end)
        elif music == 0:
            post = signature.result == "post"
            self._emit("POST" if post else "COMMAND", (name, given), token, end)
        else:
            self._emit("PREFIX" if music == 1 else "PREFIX2", (name, given), token, end)

    def _emit_foreign(self, signature: Signature, music: int, token: Flat) -> None:
        """A function of the score's own whose music isn't read: it is known where it goes, not what becomes of it."""
        name = unquoted(token.text[1:])
        reason = f"{token.text} is a function that the score defines in Scheme"
        if signature.result == "void" and not self.scheme.prints(name):
            self._void("", (), music, token)
        elif music == 0:
            self._foreign(reason, token, name, complete=True)
        elif music <= 2:
            value = ("foreign", (self._passage(reason, name),))
            self._emit("PREFIX" if music == 1 else "PREFIX2", value, token, self.stream.last_end)
        else:
            self._swallow(signature, (("ly:music?", False),) * music, token)

    def _swallow(self, signature: Signature, rest: tuple[tuple[str, bool], ...], token: Flat) -> None:
        """Takes the arguments that are left, music too, where no grammar could: something stands behind the music."""
        names: list[str] = []
        for predicate, optional in rest:
            if predicate in MUSIC_PREDICATES:
                if self._begins_music(self.stream.peek()) or not optional:
                    names += self._skipped_names()
                elif self.stream.peek().text == "\\default":
                    self.stream.take()
            else:
                self._argument(predicate, optional)
        if signature.result == "music":
            reason = f"{token.text} takes an argument behind its music"
            self._foreign(reason, token, unquoted(token.text[1:]), names, complete=True)
        else:
            self._void(signature.name, (), 0, token)

    def _skipped_names(self) -> list[str]:
        """Takes an argument that is music, and returns the commands in it."""
        follower = self.stream.peek()
        alone = follower.kind == "Command" and unquoted(follower.text[1:]) in self.held
        inside = [self.stream.take()] if alone else self.stream.take_music()
        return [unquoted(token.text[1:]) for token in inside if token.kind == "Command"]

    def _begins_music(self, follower: Flat) -> bool:
        """Whether a token can begin an argument that is music."""
        if follower.kind == "Command":
            return follower.text[1:] in self.music_names() or self.words.kind(follower.text[1:]) == "music-function"
        return follower.kind == "Bracket" or follower.text.rstrip("',") in self.arguments.names

    def _emit_partial(self, partial: Signature, token: Flat) -> None:
        """A call that ends in ``\\etc``. Commands before it that pass their music through make no difference."""
        while self.tokens and self.tokens[-1].type == "PREFIX" and self._assigning is not None:
            self.tokens.pop()
        self._emit("SCALAR", partial, token, self.stream.last_end)

    def _void(self, name: str, given: tuple[Any, ...], music: int, token: Flat) -> None:
        if name == "language" and given:
            self._set_language(str(given[0]), token)
        if name == "tagGroup" and given:
            number = len(self.tag_groups) + 1
            self.tag_groups.update(dict.fromkeys(scheme_symbols(str(given[0])), number))
        if name == "parallelMusic":
            self._deal(given, token)
            return
        if music == 1:
            # Its music is read for the durations that it carries on, and sounds nowhere.
            self._emit("PREFIX", ("void", (name, *given)), token, self.stream.last_end)
            return
        for _ in range(music):
            self.stream.take_music()
        type_ = "COMMAND" if self._open else "SCALAR"
        self._emit(type_, (name, given) if self._open else token.text, token, self.stream.last_end)

    def _deal(self, given: tuple[Any, ...], token: Flat) -> None:
        """``\\parallelMusic``: its music comes next, and its bars become the music of several variables."""
        names = given[0] if isinstance(given[0], tuple) else scheme_symbols(str(given[0]))
        for name in names:
            self.held[name] = Held("music")
        self._emit("PREFIX", ("parallelMusic", (tuple(names),)), token, self.stream.last_end)

    def _argument(self, predicate: str, optional: bool) -> Any:
        arguments, follower = self.arguments, self.stream.peek()
        if optional and follower.text == "\\default":
            self.stream.take()
            return None
        if predicate == "ly:pitch?":
            return arguments.pitch()
        if predicate in ("ly:duration?", "duration-or-music?"):
            return arguments.duration()
        if predicate in ("fraction?", "scale?", "boolean-or-fraction?"):
            return arguments.ratio()
        if predicate == "pair?" and follower.kind == "Number":
            return arguments.symbols()
        if predicate == "ly:context-mod?":
            return self._with() if follower.text == "\\with" else NOT_THERE
        if predicate in EITHER_PREDICATES:
            return self._symbols_or_music(follower)
        if optional and follower.kind == "Word" and follower.text.rstrip("',") in arguments.names:
            return NOT_THERE
        if predicate in ("symbol-list-or-symbol?", "key-list-or-symbol?", "symbol-list?", "key-list?", "symbol?"):
            return arguments.symbols()
        if predicate == "number-list?" and optional:
            return self._number_list()
        if predicate == "number-pair-list?" and optional:
            return self._key_mode(follower)
        if predicate == "number-list?":
            return arguments.symbols()
        if optional and not self._may_be(predicate, follower):
            return NOT_THERE
        return arguments.scalar()

    def _may_be(self, predicate: str, follower: Flat) -> bool:
        """Whether the next token can be an optional argument of the kind."""
        if predicate in ("markup?", "index-or-markup?") and follower.kind == "Command":
            held = self.held.get(follower.text[1:])
            return follower.text == "\\markup" or (held is not None and held.kind in ("text", "value", "duration"))
        if predicate in ("index?", "index-or-markup?") and follower.kind == "Number":
            return True
        if predicate in ("markup?", "index-or-markup?", "string?"):
            return follower.kind == "QuotedString" or (follower.kind == "Scheme" and '"' in follower.text)
        return follower.kind == "Scheme"

    def _symbols_or_music(self, follower: Flat) -> Any:
        if follower.kind == "Word":
            named = follower.text.rstrip("',") not in self.arguments.names and follower.text not in ("r", "R", "s", "q")
            return self.arguments.symbols() if named else NOT_THERE
        return self.arguments.symbols() if follower.kind in ("QuotedString", "Scheme") else NOT_THERE

    def _number_list(self) -> Any:
        if self.stream.peek().kind == "Number" and self.stream.peek(1).text == ",":
            return self.arguments.symbols()
        if self.stream.peek().kind == "Scheme" and self.stream.peek(1).kind == "Fraction":
            return scheme_symbols(self.stream.take().text)
        if self.stream.peek().kind == "Number" and self.stream.peek(1).kind == "Fraction":
            return (self.stream.take().text,)
        return NOT_THERE

    def _key_mode(self, follower: Flat) -> Any:
        if follower.kind == "Scheme" or follower.kind == "Command":
            return scheme_text(self.stream.take().text)
        return NOT_THERE

    def _set_language(self, name: str, token: Flat) -> None:
        if name not in languages():
            raise Refused(f'there is no note language "{name}"', self.sources.place(token.start))
        self.arguments.names = pitch_names(name)
        self.sources.languages[name] = None
        self._pitches = {}

    def _with(self) -> dict[str, str]:
        """Takes ``\\with`` and its block: see :meth:`_settings`."""
        self.stream.take()
        return self._settings()

    def _settings(self) -> dict[str, str]:
        """The settings of a ``\\with`` block that matter here: what a staff is and stands beside, how it counts."""
        if self.stream.peek().kind == "Command":
            self.stream.take()
            return {}
        inside = self.stream.take_bracketed()
        found = settings_in(inside)
        for index, inner in enumerate(inside):
            if inner.text in STAFF_SETTINGS or inner.text == "shortInstrumentName":
                found[inner.text] = _words_of_setting(inside[index + 2 :])
        return found


def _words_of_setting(tokens: list[Flat]) -> str:
    """The words that a setting prints, up to the next setting."""
    words = []
    for token, follower in zip(tokens, [*tokens[1:], NO_TOKEN], strict=True):
        if follower.text == "=" or token.text in ("\\consists", "\\remove", "\\override"):
            break
        if token.kind in ("QuotedString", "Word"):
            words.append(unquoted(token.text))
    return " ".join(words)
