r"""From flat tokens to the tokens of the grammar.

The typesetter's lexer and parser talk to each other: what ``\foo`` means depends on what was assigned to it, and
a function's signature decides what its arguments are. This module does the same in one pass ahead of the parser:
it knows the vocabulary, remembers what each variable holds, follows includes and note languages in token order,
swallows every argument that is not music, and balances the brackets. What it can't name becomes ``OPAQUE``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from ..source.library import Found, Library, Typesetters
from ..source.messages import Message, Refused, Severity
from ..source.text import Place, SourceFile
from .arguments import (
    EITHER_PREDICATES,
    LONG_DURATIONS,
    MUSIC_PREDICATES,
    NOT_THERE,
    Arguments,
    octave_marks,
    scheme_symbols,
    scheme_text,
    unquoted,
)
from .lexer import Flat
from .stream import Sources, Stream
from .vocabulary import DEFAULT_LANGUAGE, Signature, languages, pitch_names, vocabulary

MAX_DEPTH = 150
"""Brackets nested deeper than this are refused; scores written by people stay below thirty."""


class Tok:
    """A token of the grammar. ``value`` is what the rules' callbacks want to know; positions are global."""

    __slots__ = ("end_pos", "start_pos", "type", "value")
    line = column = end_line = end_column = None

    def __init__(self, type_: str, value: Any, start: int, end: int) -> None:
        self.type = type_
        self.value = value
        self.start_pos = start
        self.end_pos = end


@dataclass(slots=True)
class Held:
    """What a variable holds: ``kind`` is music, post, text, duration, value, function or unknown."""

    kind: str
    value: Any = None


KIND_BY_TOKEN = {
    "POST": "post",
    "SCRIPT": "post",
    "DIRECTION": "post",
    "TEXT": "text",
    "SCALAR": "value",
    "BLOCK": "value",
    "DURATION": "duration",
    "FRACTION": "value",
}
LISTLESS = {"(": "POST", ")": "POST", "[": "POST", "]": "POST", "~": "POST"}
PUNCTUATION = {"!": "BANG", "?": "BANG", "=": "EQUALS", "*": "STAR", ".": "DOT", "-": "DIRECTION", "^": "DIRECTION"}
BRACKETS = {"{": "LBRACE", "}": "RBRACE", "<<": "LSIM", ">>": "RSIM", "<": "LCHORD", ">": "RCHORD"}
CLOSING = {"{": "}", "<<": ">>", "<": ">"}
MODES = {
    "lyricmode": "lyrics",
    "lyrics": "lyrics",
    "chordmode": "chord names",
    "chords": "chord names",
    "drummode": "percussion",
    "drums": "percussion",
    "figuremode": "figures",
    "figures": "figures",
}
HEARD_MODES = frozenset({"chordmode", "drummode"})
"""Modes whose music may stand in a staff (the others make contexts of their own, or have no notes)."""

HARMLESS_SCHEME = re.compile(
    r"[#$]\(\s*(define|set!|set-|ly:set-option|use-modules|ly:set-|set-global|ly:expect-warning|display|newline|load"
    r"|ly:message|ly:warning|ly:progress|override-|if\b|begin\b|let\b|assertion|module-)"
)
FUNCTION = re.compile(r"define-(?:public-)?(music|event|scheme|void)-function\b\s*(?:\(|[^\s()]+)")
DEFINED = re.compile(r"\(define(?:-public|\*|\*-public)?\s+\(?([^\s()]+)")


class Adapter:
    """One pass over a root file and its includes. ``tokens`` and ``messages`` hold the outcome."""

    def __init__(self, sources: Sources, root: SourceFile, library: Library) -> None:
        self.sources = sources
        self.library = library
        self.stream = Stream(sources, root)
        self.arguments = Arguments(self.stream)
        self.arguments.names = pitch_names(DEFAULT_LANGUAGE)
        self.words = vocabulary()
        self.held: dict[str, Held] = {}
        self.tokens: list[Tok] = []
        self.messages: list[Message] = []
        self.assets: list[tuple[Place, str]] = []
        self.includes: list[tuple[Place, str, SourceFile]] = []
        self.tag_groups: dict[str, int] = {}
        self.untimed: list[int] = []
        """Where a ``\\layout`` block stops the counting of bars (global offsets)."""
        self._open: list[tuple[str, int]] = []
        self._blocks: list[str] = []
        self._assigning: str | None = None
        self._pitches: dict[str, Any] = {}
        self._reserved: dict[str, Callable[[Flat], None]] = self._reserved_table()

    # ---- the loop ----

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
        while (token := take()).kind != "End":
            by_kind[token.kind](token)
        if self._open:
            text, start = self._open[-1]
            raise Refused(f"this {text} is never closed", self.sources.place(start))
        return self.tokens

    def _emit(self, type_: str, value: Any, token: Flat, end: int | None = None) -> None:
        self.tokens.append(Tok(type_, value, token.start, token.end if end is None else end))
        if self._assigning is not None and type_ not in ("PREFIX", "PREFIX2"):
            self._note_kind(type_, value)

    def _note_kind(self, type_: str, value: Any) -> None:
        name, self._assigning = self._assigning, None
        assert name is not None
        self.arguments.scalars.pop(name, None)
        if type_ == "SCALAR" and isinstance(value, Signature):
            self.held[name] = Held("function", value)
            return
        if type_ == "VARIABLE" and self.held.get(value):
            self.held[name] = self.held[value]
            return
        kind = KIND_BY_TOKEN.get(type_, "music")
        self.held[name] = Held(kind, value)
        if kind in ("duration", "value") and isinstance(value, str):
            self.arguments.scalars[name] = value

    # ---- simple tokens ----

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
        else:
            self._emit("JUNK", text, token)
        return None

    def _begins_assignment(self) -> bool:
        if self._open and self._open[-1][0] not in ("book",):
            return False
        ahead = 0
        while self.stream.peek(ahead).text == "." and self.stream.peek(ahead + 1).kind in ("Word", "Number"):
            ahead += 2
        return self.stream.peek(ahead).text == "="

    def _assign(self, name: str, token: Flat) -> None:
        while self.stream.take().text != "=":
            pass
        self._emit("ASSIGN", name, token)
        self.held.pop(name, None)
        self._assigning = name

    def _string(self, token: Flat) -> None:
        if not self._open and self.stream.peek().text == "=":
            self._assign(unquoted(token.text), token)
        else:
            self._emit("TEXT", unquoted(token.text), token)

    def _punctuation(self, token: Flat) -> None:
        text = token.text
        if text in LISTLESS:
            self._emit("POST", text, token)
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
            self._emit("SCALAR", signature_in(text) or text, token)
        elif name in self.held and self.held[name].kind != "unknown":
            self._variable(name, token)
        elif not self._open or HARMLESS_SCHEME.match(text):
            self._remember_definitions(text)
            self._emit("COMMAND" if self._open else "SCALAR", ("scheme", ()) if self._open else text, token)
        else:
            self._emit("OPAQUE", "Scheme makes music here, and lyfinger never runs Scheme", token)

    def _remember_definitions(self, text: str) -> None:
        for match in DEFINED.finditer(text):
            signature = signature_in(text, match.start())
            name = match.group(1)
            self.held[name] = Held("function", signature) if signature else Held("unknown")

    # ---- commands ----

    def _command(self, token: Flat) -> None:
        name = unquoted(token.text[1:])
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
        if self.tokens and self.tokens[-1].type == "DIRECTION":
            self._emit("POST", "unknown", token)
        else:
            self._emit("OPAQUE", f"{token.text} is not known", token)

    def _variable(self, name: str, token: Flat) -> None:
        held = self.held[name]
        if held.kind == "music":
            self._emit("VARIABLE", name, token)
        elif held.kind == "post":
            self._emit("POST", ("variable", name), token)
        elif held.kind == "function":
            self._call(held.value, token)
        elif held.kind == "text":
            self._emit("TEXT", held.value, token)
        elif held.kind == "duration":
            self._emit("DURATION", held.value, token)
        elif self.tokens and self.tokens[-1].type == "STAR":
            self._emit("SCALAR", held.value, token)
        elif not self._open:
            self._emit("SCALAR", held.value, token)
        else:
            self._unknown(token)

    def _call(self, signature: Signature, token: Flat) -> None:
        """A function: takes its arguments, then says what the grammar is to expect."""
        given = list(signature.given)
        music = 0
        for index, (predicate, optional) in enumerate(signature.arguments):
            if self.stream.peek().text == "\\etc":
                self.stream.take()
                rest = signature.arguments[index:]
                partial = Signature(signature.name, rest, signature.result, signature.known, tuple(given))
                self._emit("SCALAR", partial, token, self.stream.last_end)
                return
            if predicate in MUSIC_PREDICATES:
                music += 1
                continue
            if music and predicate not in EITHER_PREDICATES:
                self._emit("OPAQUE", f"{token.text} takes an argument behind its music", token)
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
        if self.stream.peek().text == "\\etc" and music:
            self.stream.take()
            rest = tuple(item for item in signature.arguments if item[0] in MUSIC_PREDICATES | EITHER_PREDICATES)
            self._emit("SCALAR", Signature(name, rest, signature.result, signature.known, given), token, end)
        elif not signature.known and signature.result == "music":
            self._emit("OPAQUE", f"{token.text} is a function that the score defines in Scheme", token, end)
        elif signature.result == "void":
            self._void(name, given, music, token)
        elif signature.result == "value":
            for _ in range(music):
                self.arguments.skip_music()
            self._emit("SCALAR", token.text, token, self.stream.last_end)
        elif music == 0:
            post = signature.result == "post"
            self._emit("POST" if post else "COMMAND", (name, given), token, end)
        else:
            self._emit("PREFIX" if music == 1 else "PREFIX2", (name, given), token, end)

    def _void(self, name: str, given: tuple[Any, ...], music: int, token: Flat) -> None:
        if name == "language" and given:
            self._set_language(str(given[0]), token)
        if name == "tagGroup" and given:
            number = len(self.tag_groups) + 1
            self.tag_groups.update(dict.fromkeys(scheme_symbols(str(given[0])), number))
        if name == "parallelMusic":
            self.arguments.skip_music()
            for part in scheme_symbols(str(given[0])):
                self.held[part] = Held("unknown")
        elif music == 1:
            # Its music is read for the durations that it carries on, and sounds nowhere.
            self._emit("PREFIX", ("void", ()), token, self.stream.last_end)
            return
        else:
            for _ in range(music):
                self.arguments.skip_music()
        type_ = "COMMAND" if self._open else "SCALAR"
        self._emit(type_, (name, given) if self._open else token.text, token, self.stream.last_end)

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
        if predicate == "ly:context-mod?":
            return self._with() if follower.text == "\\with" else NOT_THERE
        if predicate in EITHER_PREDICATES:
            return self._symbols_or_music(follower)
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
        if predicate in ("markup?", "index-or-markup?") and follower.text == "\\markup":
            return True
        if predicate in ("index?", "index-or-markup?") and follower.kind == "Number":
            return True
        if predicate in ("markup?", "index-or-markup?", "string?"):
            return follower.kind == "QuotedString" or follower.kind == "Scheme" and '"' in follower.text
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

    # ---- reserved words ----

    def _reserved_table(self) -> dict[str, Callable[[Flat], None]]:
        table: dict[str, Callable[[Flat], None]] = {
            "include": self._include,
            "new": self._context,
            "context": self._context,
            "change": self._change,
            "repeat": self._repeat,
            "alternative": lambda token: self._emit("ALTERNATIVE", "alternative", token),
            "score": lambda token: self._emit("SCORE", "score", token),
            "book": self._book,
            "bookpart": self._book,
            "tempo": self._tempo,
            "set": self._set,
            "override": self._set,
            "revert": self._unset,
            "unset": self._unset,
            "rest": lambda token: self._emit("RESTMARK", "rest", token),
            "sequential": lambda token: self._emit("SEQUENTIAL", "sequential", token),
            "simultaneous": lambda token: self._emit("SIMULTANEOUS", "simultaneous", token),
            "notemode": lambda token: self._emit("PREFIX", ("notemode", ()), token),
            "markup": self._markup,
            "markuplist": self._markup,
            "markuplines": self._markup,
            "addlyrics": self._lyrics_below,
            "lyricsto": self._lyrics_to,
            "language": self._language,
            "default": lambda token: self._emit("SCALAR", "default", token),
            "key": self._key,
            "void": self._void_prefix,
            "time": self._time,
            "image": self._asset,
            "epsfile": self._asset,
        }
        for name in ("version", "sourcefilename", "sourcefileline"):
            table[name] = self._skip_argument
        for name in ("header", "paper", "layout", "midi"):
            table[name] = self._block
        for name in MODES:
            table[name] = self._mode
        table["with"] = lambda token: self._emit("SCALAR", self._with(taken=True), token, self.stream.last_end)
        table["tag"] = self._tag
        return table

    def _skip_argument(self, token: Flat) -> None:
        self.arguments.scalar()

    def _language(self, token: Flat) -> None:
        name = self.arguments.text()
        if isinstance(name, str):
            self._set_language(name, token)

    def _set_language(self, name: str, token: Flat) -> None:
        if name not in languages():
            raise Refused(f'there is no note language "{name}"', self.sources.place(token.start))
        self.arguments.names = pitch_names(name)
        self._pitches = {}

    def _include(self, token: Flat) -> None:
        place = self.sources.place(token.start)
        name = self.arguments.text()
        if not isinstance(name, str):
            raise Refused("the name of this include is not a plain string", place)
        here = self.sources.place(token.start).file
        outcome = self.library.include(here, name, place)
        if isinstance(outcome, Found):
            self.includes.append((place, name, outcome.file))
            if outcome.file in self.stream.open_files():
                raise Refused(f'"{name}" includes itself', place)
            self.stream.enter(outcome.file)
        elif isinstance(outcome, Typesetters):
            language = outcome.name.rsplit(".", 1)[0]
            if language in languages():
                self._set_language(language, token)
        else:
            raise Refused(f'cannot find the file "{name}" that is included here', place)

    def _context(self, token: Flat) -> None:
        kind = self.arguments.text()
        name = None
        if self.stream.peek().text == "=":
            self.stream.take()
            name = self.arguments.text()
        settings: dict[str, str] = {}
        while self.stream.peek().text == "\\with":
            settings.update(self._with())
        new = token.text == "\\new"
        value = ("context", (str(kind), None if name in (None, NOT_THERE) else str(name), new, settings))
        self._emit("PREFIX", value, token, self.stream.last_end)

    def _with(self, *, taken: bool = False) -> dict[str, str]:
        """The settings of a ``\\with`` block that matter here: names of instruments."""
        if not taken:
            self.stream.take()
        if self.stream.peek().kind == "Command":
            self.stream.take()
            return {}
        inside = self.arguments.skip_bracketed()
        found = {}
        for index, inner in enumerate(inside):
            if inner.text in ("instrumentName", "shortInstrumentName"):
                found[inner.text] = " ".join(
                    unquoted(value.text) for value in inside[index + 1 : index + 12] if value.kind == "QuotedString"
                )
        return found

    def _change(self, token: Flat) -> None:
        self.arguments.text()
        name: Any = None
        if self.stream.peek().text == "=":
            self.stream.take()
            name = self.arguments.text()
        self._emit("COMMAND", ("change", (name,)), token, self.stream.last_end)

    def _repeat(self, token: Flat) -> None:
        kind = self.arguments.text()
        count = self.arguments.number()
        if kind is NOT_THERE or count is NOT_THERE or isinstance(count, str):
            self._emit("OPAQUE", "the kind or the count of this repeat is not plain", token, self.stream.last_end)
        else:
            self._emit("REPEAT", (str(kind), int(count)), token, self.stream.last_end)

    def _book(self, token: Flat) -> None:
        if self.stream.peek().text == "{":
            brace = self.stream.take()
            self._open.append(("book", brace.start))
            self._emit("BOOK", token.text, token)
            self._emit("LBRACE", "{", brace)
        else:
            self._emit("SCALAR", token.text, token)

    def _block(self, token: Flat) -> None:
        if self.stream.peek().kind == "Command":
            self.stream.take()
        else:
            inside = self.arguments.skip_bracketed()
            if token.text == "\\layout" and _stops_timing(inside):
                self.untimed.append(token.start)
        self._emit("BLOCK", token.text[1:], token, self.stream.last_end)

    def _markup(self, token: Flat) -> None:
        first = len(self.tokens)
        text = self.arguments.markup()
        self._emit("TEXT", text, token, self.stream.last_end)
        assert len(self.tokens) == first + 1

    def _asset(self, token: Flat) -> None:
        self.arguments.scalar()

    def _mode(self, token: Flat) -> None:
        name = token.text[1:]
        self.arguments.skip_music()
        kind = MODES[name]
        value: Any = f"{kind} are not read" if name in HEARD_MODES else (kind,)
        self._emit("OPAQUE", value, token, self.stream.last_end)

    def _lyrics_below(self, token: Flat) -> None:
        self.arguments.skip_music()
        self._emit("POST", "lyrics", token, self.stream.last_end)

    def _lyrics_to(self, token: Flat) -> None:
        self.arguments.text()
        self.arguments.skip_music()
        self._emit("OPAQUE", ("lyrics",), token, self.stream.last_end)

    def _key(self, token: Flat) -> None:
        if self.stream.peek().text == "\\default":
            self.stream.take()
        else:
            self.arguments.pitch()
            self._key_mode(self.stream.peek())
        self._emit("COMMAND", ("key", ()), token, self.stream.last_end)

    def _void_prefix(self, token: Flat) -> None:
        if self.stream.peek().kind in ("Scheme", "QuotedString"):
            self.stream.take()
            if self._open:
                self._emit("COMMAND", ("void", ()), token, self.stream.last_end)
        else:
            self._emit("PREFIX", ("void", ()), token)

    def _time(self, token: Flat) -> None:
        self._number_list()
        fraction = self.stream.peek()
        value: Any = None
        if fraction.kind == "Fraction":
            above, below = self.stream.take().text.split("/")
            value = (int(above), int(below))
        elif fraction.kind == "Scheme":
            numbers = re.findall(r"\d+", self.stream.take().text)
            value = (int(numbers[0]), int(numbers[1])) if len(numbers) == 2 else None
        elif fraction.text == "\\default":
            self.stream.take()
        plain = value is not None and all(value)
        self._emit("COMMAND", ("time", (value if plain else None,)), token, self.stream.last_end)

    def _tag(self, token: Flat) -> None:
        self._call(self.words.signature("tag"), token)

    def _tempo(self, token: Flat) -> None:
        """``\\tempo "Andante" 4. = 60-70``: text, unit and count, each of which may be missing."""
        text: Any = None
        follower = self.stream.peek()
        if follower.text in ("\\markup",):
            self.stream.take()
            text = self.arguments.markup()
        elif follower.kind in ("QuotedString", "Word", "Scheme"):
            text = self.arguments.text()
        elif follower.kind == "Command" and self.held.get(follower.text[1:], Held("")).kind == "text":
            text = self.held[self.stream.take().text[1:]].value
        unit = self.arguments.duration()
        count: Any = None
        if unit is not NOT_THERE and self.stream.peek().text == "=":
            self.stream.take()
            count = self._tempo_count()
        self._emit("COMMAND", ("tempo", (text, unit or None, count)), token, self.stream.last_end)

    def _tempo_count(self) -> Any:
        low = self.arguments.number()
        if isinstance(low, str) or low is NOT_THERE:
            return None
        if self.stream.peek().text in ("-", "~") and self.stream.peek(1).kind == "Number":
            self.stream.take()
            high = self.arguments.number()
            return (low + high) / 2
        return low

    def _set(self, token: Flat) -> None:
        path = self.arguments.property_path()
        value: Any = None
        if self.stream.peek().text == "=":
            self.stream.take()
            value = self.arguments.scalar()
        name = token.text[1:]
        if value is NOT_THERE:
            self._emit("OPAQUE", f"the value of this {token.text} is not understood", token, self.stream.last_end)
        else:
            self._emit("COMMAND", (name, (path, value)), token, self.stream.last_end)

    def _unset(self, token: Flat) -> None:
        path = self.arguments.property_path()
        self._emit("COMMAND", (token.text[1:], (path,)), token, self.stream.last_end)

    def warn(self, text: str, offset: int, rule: str) -> None:
        self.messages.append(Message(Severity.WARNING, self.sources.place(offset), text, rule))


def _stops_timing(inside: list[Flat]) -> bool:
    """Whether a ``\\layout`` block sets ``timing = ##f`` or removes the translator that counts the bars."""
    for first, second, third in zip(inside, inside[1:], inside[2:], strict=False):
        if (first.text, second.text, third.text) == ("timing", "=", "##f"):
            return True
        if first.text == "\\remove" and unquoted(second.text) == "Timing_translator":
            return True
    return False


def signature_in(text: str, start: int = 0) -> Signature | None:
    """The signature of the function that a Scheme expression defines, if it defines one plainly."""
    match = FUNCTION.search(text, start)
    if match is None:
        return None
    result = {"music": "music", "event": "post", "scheme": "value", "void": "void"}[match.group(1)]
    rest = text[match.end() - 1 :] if match.group(0).endswith("(") else None
    if rest is None:
        return Signature("", (), result, known=False)
    depth, lists, begin = 0, [], 0
    for index, char in enumerate(rest):
        if char == "(":
            if depth == 0:
                begin = index
            depth += 1
        elif char == ")":
            depth -= 1
            if depth == 0:
                lists.append(rest[begin + 1 : index])
            if depth < 0 or len(lists) == 2:
                break
    if len(lists) < 2:
        return None
    return Signature("", _predicates(lists[1]), result, known=False)


def _predicates(text: str) -> tuple[tuple[str, bool], ...]:
    found = []
    for match in re.finditer(r"\(\s*([^\s()]+)[^()]*(?:\([^()]*\)[^()]*)*\)|([^\s()]+)", text):
        found.append((match.group(1) or match.group(2), match.group(1) is not None))
    return tuple(found)
