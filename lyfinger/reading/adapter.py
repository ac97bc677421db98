r"""From flat tokens to the tokens of the grammar.

The typesetter's lexer and parser talk to each other: what ``\foo`` means depends on what was assigned to it, and
a function's signature decides what its arguments are. This module does the same in one pass ahead of the parser:
it knows the vocabulary, remembers what each variable holds, follows includes and note languages in token order,
swallows every argument that is not music, and balances the brackets. What it can't name becomes ``OPAQUE``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from ..source.library import Library
from ..source.messages import Refused
from ..source.text import SourceFile, encode
from .arguments import LONG_DURATIONS, octave_marks, unquoted
from .commands import PASSED_THROUGH
from .definitions import definition_in, settled
from .foreign import SchemeText
from .lexer import Flat
from .reserved import Reserved
from .stream import Sources, Unclosed
from .tokens import Held, Tok

DIRECTIONS = frozenset("-^_")
POST_WORDS = frozenset({"Word", "Command", "Number", "QuotedString", "Scheme", "Punctuation"})
MAX_DEPTH = 150
"""Brackets nested deeper than this are refused; scores written by people stay below thirty."""
POSTS = frozenset("()[]~")
PUNCTUATION = {"!": "BANG", "?": "BANG", "=": "EQUALS", "*": "STAR", ".": "DOT", "-": "DIRECTION", "^": "DIRECTION"}
BRACKETS = {"{": "LBRACE", "}": "RBRACE", "<<": "LSIM", ">>": "RSIM", "<": "LCHORD", ">": "RCHORD"}
CLOSING = {"{": "}", "<<": ">>", "<": ">"}
HARMLESS_SCHEME = (
    r"[#$]\(\s*(define|set!|set-|ly:set-option|use-modules|ly:set-|set-global|ly:expect-warning|display|newline|load"
    r"|ly:message|ly:warning|ly:progress|override-|assertion|module-)"
)
BLOCK_SCHEME = r"[#$]\(\s*(if|begin|let)\b"
"""Scheme that is harmless unless it makes music."""
NEVER_RUN = "Scheme makes music here, and lyfinger never runs Scheme"
MARKUP_COMMAND = r"define-markup(?:-list)?-command\s*\(\s*([^\s()]+)[^()]*\)\s*\(([^()]*)\)"
DEFINED_PAIR = r"\(define\s+([^\s()]+)\s+(\(cons\s+\d+\s+\d+\s*\)|'\(\s*\d+\s+\.\s+\d+\s*\))\s*\)"
DEFINED = r"\(define(?:-public|\*|\*-public)?\s+\(?([^\s()]+)"


class Adapter(Reserved):
    """One pass over a root file and its includes; ``tokens`` holds the outcome."""

    def __init__(self, sources: Sources, root: SourceFile, library: Library) -> None:
        super().__init__(sources, root, library)
        self._reserved = self._reserved_table()

    def run(self) -> list[Tok]:
        """All tokens of the grammar. Raises Refused for brackets that don't match and for unreadable text."""
        by_kind: dict[str, Callable[[Flat], None]] = {
            "Word": self._word,
            "Number": lambda token: self._emit("DURATION", token.text, token),
            "Fraction": lambda token: self._emit("FRACTION", token.text, token),
            "Bracket": self._bracket,
            "Command": self._command,
            "Script": lambda token: self._emit("SCRIPT", token.text, token),
            "Punctuation": self._punctuation,
            "Quotes": lambda token: self._emit("QUOTES", octave_marks(token.text), token),
            "QuotedString": self._string,
            "Scheme": self._scheme,
            "Escaped": self._escaped,
        }
        take = self.stream.take
        try:
            while (token := take()).kind != "End":
                by_kind[token.kind](token)
        except Unclosed as error:
            self._open.append((str(error), error.offset))
        self._reserved.clear()  # its methods lead back here, and would keep all tokens until cycles are searched
        if self._open:
            text, start = self._open[-1]
            raise Refused(f"this {text} is never closed", self.sources.place(start))
        return self.tokens

    # ---- words and punctuation ----

    def _word(self, token: Flat) -> None:
        text = token.text
        pitch = self._pitches.get(text)
        if pitch is None:
            pitch = self._look_up(token)
            if pitch is None:
                return
        self._emit("PITCH", pitch, token)

    def _look_up(self, token: Flat) -> Any:
        text = token.text
        if self._begins_assignment():
            self._assign(text, token)
            return None
        base = text.rstrip("',")
        found = self.arguments.names.get(base)
        if found is not None:
            pitch = (found[0] + octave_marks(text[len(base) :]), found[1], found[2])
            self._pitches[text] = pitch
            return pitch
        if text in ("r", "R", "s"):
            self._emit("REST", text, token)
        elif text == "q":
            self._emit("QREPEAT", text, token)
        elif self.tokens and self.tokens[-1].type == "DIRECTION":
            self._emit("TEXT", text, token)
        else:
            self._emit("JUNK", text, token)
        return None

    def _begins_assignment(self) -> bool:
        if self._open and self._open[-1][0] != "book":
            return False
        ahead = 0
        while self.stream.peek(ahead).text == "." and self.stream.peek(ahead + 1).kind in ("Word", "Number"):
            ahead += 2
        return self.stream.peek(ahead).text == "="

    def _assign(self, name: str, token: Flat) -> None:
        while (part := self.stream.take()).text != "=":
            name += part.text
        self._emit("ASSIGN", name, token)
        self.held.pop(name, None)
        self._assigning = name

    def _held_duration(self, held: Held, token: Flat) -> None:
        self._emit("DURATION", held.value, token)
        while held.factors and self.stream.peek().text == ".":
            self._emit("DOT", ".", self.stream.take())  # dots go before factors, wherever they are written
        for factor in held.factors:
            self._emit("STAR", "*", token)
            self._emit("FRACTION" if "/" in factor else "DURATION", factor, token)

    def _begin_post(self, token: Flat) -> bool:
        """Takes ``_\\etc`` and its like, if a variable is given that."""
        words = [token.text]
        while words[-1] != "\\etc" and self.stream.peek(len(words) - 1).kind in POST_WORDS and len(words) < 40:
            words.append(self.stream.peek(len(words) - 1).text)
        held = _partial_post(words)
        if held is None or self._assigning is None:
            return False
        for _ in words[1:]:
            self.stream.take()
        name = self._assigning
        self._emit("SCALAR", token.text, token, self.stream.last_end)
        self.held[name] = held
        return True

    def _path(self, name: str) -> str:
        """The name of a variable with dots in it (``\\violin.1``), as far as one was assigned."""
        while self.stream.peek().text == "." and self.stream.peek(1).kind in ("Word", "Number"):
            longer = f"{name}.{self.stream.peek(1).text}"
            if not any(held == longer or held.startswith(f"{longer}.") for held in self.held):
                break
            self.stream.take()
            self.stream.take()
            name = longer
        return name

    def _string(self, token: Flat) -> None:
        if not self._open and self.stream.peek().text == "=":
            self._assign(unquoted(token.text), token)
        else:
            self._emit("TEXT", unquoted(token.text), token)

    def _punctuation(self, token: Flat) -> None:
        text = token.text
        if text in POSTS:
            self._emit("POST", text, token)
        elif self._assigning is not None and text in DIRECTIONS and self._begin_post(token):
            pass
        elif text in PUNCTUATION:
            self._emit(PUNCTUATION[text], text, token)
        elif text == "_":
            self._emit("DIRECTION", text, token)
        elif text == "|":
            self._emit("COMMAND", ("|", ()), token)
        elif text == ":":
            self._tremolo(token)
        else:
            self._emit("JUNK", text, token)

    def _tremolo(self, token: Flat) -> None:
        follower = self.stream.peek()
        if follower.kind == "Number":
            self.stream.take()
            self._emit("POST", "tremolo", token, follower.end)
        else:
            self._emit("POST", "tremolo", token)

    def _escaped(self, token: Flat) -> None:
        text = token.text
        if text == "\\\\":
            self._emit("VOICESEP", text, token)
        elif text in ("\\[", "\\]"):
            self._emit("COMMAND", (text, ()), token)
        elif text == "\\=":
            self.arguments.scalar()
            self._emit("PREFIX", ("\\=", ()), token, self.stream.last_end)
        else:
            self._emit("POST", text, token)

    def _bracket(self, token: Flat) -> None:
        text = token.text
        if text in CLOSING:
            self._open.append((text, token.start))
            if len(self._open) > MAX_DEPTH:
                raise Refused(f"brackets are nested more than {MAX_DEPTH} deep", self.sources.place(token.start))
        else:
            opening = self._open.pop()[0] if self._open else ""
            if opening == "book":
                opening = "{"
            if CLOSING.get(opening) != text:
                raise Refused(f"this {text} closes nothing", self.sources.place(token.start))
        self._emit(BRACKETS[text], text, token)

    # ---- Scheme ----

    def _scheme(self, token: Flat) -> None:
        text = token.text
        follows_direction = bool(self.tokens) and self.tokens[-1].type == "DIRECTION"
        after_star = bool(self.tokens) and self.tokens[-1].type == "STAR"
        name = text.lstrip("#$@")
        if follows_direction:
            self._emit("POST", "scheme", token)
        elif self._assigning is not None or after_star:
            if self._assigning is not None:
                self.scheme.texts[self._assigning] = SchemeText(text, token.start, token.end)
            self._emit("SCALAR", settled(definition_in(text), self._is_plain) or text, token)
        elif name in self.held and self.held[name].kind != "unknown":
            self._variable(name, token)
        elif self._is_silent(text):
            self._remember_definitions(text, token)
            self._emit("COMMAND" if self._open else "SCALAR", ("scheme", ()) if self._open else text, token)
        else:
            self._foreign(NEVER_RUN, token, text, complete=True)

    def _is_silent(self, text: str) -> bool:
        """Whether Scheme that stands by itself makes no music here, as far as can be seen."""
        if re.match(HARMLESS_SCHEME, text):
            return True
        if self._open:
            return re.match(BLOCK_SCHEME, text) is not None and not self.scheme.makes_music(text)
        return not (self.scheme.prints(text) or (text.startswith("$") and self.scheme.makes_music(text)))

    def _remember_definitions(self, text: str, token: Flat) -> None:
        for match in re.finditer(MARKUP_COMMAND, text):
            self.arguments.markup_commands[match.group(1)] = match.group(2).split()
        for match in re.finditer(DEFINED, text):
            signature = settled(definition_in(text, match.start()), self._is_plain)
            name = match.group(1)
            self.scheme.texts[name] = SchemeText(text, token.start, token.end)
            self.held[name] = Held("function", signature) if signature else Held("unknown")
        for match in re.finditer(DEFINED_PAIR, text):
            self.arguments.scalars[match.group(1)] = match.group(2)

    def _is_plain(self, music: str, source: str) -> bool:
        """Whether embedded LilyPond is one use of a variable among settings: cut like any source, by itself.

        By itself it is in no folder, so one that includes a file is not plain.
        """
        if "\\include" in source:
            return False
        sources = Sources()
        inner = Adapter(sources, SourceFile("", encode(source)), self.library)
        inner.held[music] = Held("music")
        try:
            tokens = inner.run()
        except Refused:
            return False
        uses = sum(token.type == "VARIABLE" and token.value == music for token in tokens)
        return uses == 1 and all(_takes_no_time(token) for token in tokens)

    # ---- commands ----

    def _command(self, token: Flat) -> None:
        name = unquoted(token.text[1:])
        if self.stream.peek().text == ".":
            name = self._path(name)
        if name in self.held:
            self._variable(name, token)
            return
        handler = self._reserved.get(name)
        if handler is not None:
            handler(token)
            return
        name = self.words.today(name)
        kind = self.words.kind(name)
        if kind == "music":
            self._emit("COMMAND", (name, ()), token)
        elif kind == "post-event":
            self._emit("POST", name, token)
        elif kind in ("music-function", "event-function", "void-function", "scheme-function"):
            self._call(self.words.signature(name), token)
        elif name in LONG_DURATIONS:
            self._emit("DURATION", token.text, token)
        elif kind is not None:
            self._emit("SCALAR", token.text, token)
        else:
            self._unknown(token)

    def _unknown(self, token: Flat) -> None:
        kit = self.toolkit and token.text.startswith("\\make-")
        names = [name for name in self.held if name.endswith("Music")] if kit else []
        self._foreign(f"{token.text} is not known", token, unquoted(token.text[1:]), names)

    def _variable(self, name: str, token: Flat) -> None:
        held = self.held[name]
        if held.kind == "music":
            self._emit("VARIABLE", name, token, max(token.end, self.stream.last_end))
        elif held.kind == "post":
            self._emit("POST", ("variable", name), token)
        elif held.kind == "function":
            self._call(held.value, token)
        elif held.kind == "text":
            if name in self._texts:
                self.sources.definitions[token.end] = self._texts[name]
            self._emit("TEXT", held.value, token)
        elif held.kind == "duration":
            self._held_duration(held, token)
        elif held.kind == "direction":
            if self.stream.peek().text not in DIRECTIONS and self.stream.peek().kind != "Script":
                self._emit("DIRECTION", held.value, token)
        elif held.kind == "markup":
            if self.stream.peek().text == "\\markup":
                self.stream.take()
            text = self.arguments.markup()
            self._emit("DIRECTION", held.value, token)
            self._emit("TEXT", text, token, self.stream.last_end)
        elif (self.tokens and self.tokens[-1].type == "STAR") or not (self._open or self.scheme.makes_music(name)):
            self._emit("SCALAR", held.value, token)
        else:
            self._foreign(f"\\{name} is made by Scheme", token, name, complete=True)


def _partial_post(words: list[str]) -> Held | None:
    """What ``_\\etc`` and ``^\\markup \\bold \\etc`` stand for: the direction of what is given to them later."""
    if words[-1:] != ["\\etc"]:
        return None
    return Held("markup" if "\\markup" in words else "direction", words[0])


def _takes_no_time(token: Tok) -> bool:
    """Whether a token of a function's body leaves the music in it as it is."""
    if token.type == "PREFIX":
        return token.value[0] in PASSED_THROUGH
    if token.type == "COMMAND":
        return token.value[0] not in ("skip", "change", "octaveCheck", "resetRelativeOctave")
    return token.type in ("VARIABLE", "SEQUENTIAL", "LBRACE", "RBRACE", "LCHORD", "RCHORD", "POST", "SCALAR")
