"""The words that the typesetter's own grammar reserves, and the few commands that are read like them."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from ..source.library import Found, Typesetters
from ..source.messages import Refused
from .arguments import NOT_THERE
from .calls import Calls
from .layouts import layout_of
from .lexer import Flat
from .templates import TEMPLATES
from .tokens import Held
from .unheard import HEARD_MODES, MODES, unheard
from .vocabulary import languages

OTHER_NAMES = frozenset({"bagpipe.ly"})
"""The typesetter's files that give plain note names another meaning: behind them no word is a note."""


class Reserved(Calls):
    """The part of the adapter that knows reserved words."""

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
        }
        for name in ("version", "sourcefilename", "sourcefileline"):
            table[name] = self._skip_argument
        for name in ("header", "paper", "layout", "midi"):
            table[name] = self._block
        for name in MODES:
            table[name] = self._mode
        table["with"] = lambda token: self._emit("SCALAR", self._settings(), token, self.stream.last_end)
        return table

    # ---- files and languages ----

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
            self._typesetters(outcome.name, token)
        else:
            looked = f"; looked in {', '.join(outcome.searched)}" if outcome.searched else ""
            raise Refused(f'cannot find the file "{name}" that is included here{looked}', place)

    def _typesetters(self, name: str, token: Flat) -> None:
        """One of the typesetter's own files: a language, a template, or nothing that is read."""
        language = name.rsplit(".", 1)[0]
        if language in languages():
            self._set_language(language, token)
        elif name in OTHER_NAMES:
            self.arguments.names, self._pitches = {}, {}
        elif name.endswith("-tkit.ly"):
            self.toolkit = True
        elif name in TEMPLATES and not self._open:
            self.tag_groups.update(dict.fromkeys(("print", "play"), len(self.tag_groups) + 1))
            given = frozenset(name for name, held in self.held.items() if held.value in ("##t", "#t"))
            self._emit("TEMPLATE", (name, given), token, self.stream.last_end)

    def _language(self, token: Flat) -> None:
        name = self.arguments.text()
        if isinstance(name, str):
            self._set_language(name, token)

    def _skip_argument(self, token: Flat) -> None:
        self.arguments.scalar()

    # ---- contexts and blocks ----

    def _context(self, token: Flat) -> None:
        kind = self.arguments.text()
        if kind is NOT_THERE:
            self._emit("OPAQUE", f"the kind of this {token.text} is not plain", token)
            return
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

    def _change(self, token: Flat) -> None:
        self.arguments.text()
        name: Any = None
        if self.stream.peek().text == "=":
            self.stream.take()
            name = self.arguments.text()
        self._emit("COMMAND", ("change", (name,)), token, self.stream.last_end)

    def _set(self, token: Flat) -> None:
        path = self.arguments.property_path()
        value: Any = None
        if self.stream.peek().text == "=":
            self.stream.take()
            # A time signature is no number: 6/8 is not 3/4.
            whole = path[-1:] == ("timeSignatureFraction",) and self.stream.peek().kind == "Fraction"
            value = self.stream.take().text if whole else self.arguments.scalar()
        name = token.text[1:]
        if value is NOT_THERE:
            self._emit("OPAQUE", f"the value of this {token.text} is not understood", token, self.stream.last_end)
        else:
            self._emit("COMMAND", (name, (path, value)), token, self.stream.last_end)

    def _unset(self, token: Flat) -> None:
        path = self.arguments.property_path()
        self._emit("COMMAND", (token.text[1:], (path,)), token, self.stream.last_end)

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
            inside = self.stream.take_bracketed()
            if token.text == "\\layout":
                self.layouts.append(layout_of(token.start, inside))
        self._emit("BLOCK", token.text[1:], token, self.stream.last_end)

    # ---- music ----

    def _repeat(self, token: Flat) -> None:
        kind = self.arguments.text()
        count = self.arguments.number()
        if kind is NOT_THERE or count is NOT_THERE or isinstance(count, str):
            self._emit("OPAQUE", "the kind or the count of this repeat is not plain", token, self.stream.last_end)
        else:
            self._emit("REPEAT", (str(kind), int(count)), token, self.stream.last_end)

    def _key(self, token: Flat) -> None:
        given: tuple[Any, ...] = ()
        if self.stream.peek().text == "\\default":
            self.stream.take()
        else:
            given = (self.arguments.pitch(), self._key_mode(self.stream.peek()))
        self._emit("COMMAND", ("key", given), token, self.stream.last_end)

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

    def _void_prefix(self, token: Flat) -> None:
        if self.stream.peek().kind in ("Scheme", "QuotedString"):
            self.stream.take()
            if self._open:
                self._emit("COMMAND", ("void", ()), token, self.stream.last_end)
        else:
            self._emit("PREFIX", ("void", ()), token)

    def _tempo(self, token: Flat) -> None:
        """``\\tempo "Andante" 4. = 60-70``: text, unit and count, each of which may be missing."""
        text: Any = None
        follower = self.stream.peek()
        if follower.text == "\\markup":
            self.stream.take()
            text = self.arguments.markup()
        elif follower.kind in ("QuotedString", "Word", "Scheme"):
            text = self.arguments.text()
        elif follower.kind == "Command" and self.held.get(follower.text[1:], Held("unknown")).kind == "text":
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

    # ---- words ----

    def _markup(self, token: Flat) -> None:
        if not self._open and self._define_markup(token):
            return
        text = self.arguments.markup()
        self._emit("TEXT", text, token, self.stream.last_end)

    def _define_markup(self, token: Flat) -> bool:
        """Takes ``\\markup shout = \\markup \\bold \\etc``: a markup command of the score's own, for one markup."""
        if self.stream.peek().kind != "Word" or self.stream.peek(1).text != "=":
            return False
        ahead = next((index for index in range(2, 60) if self.stream.peek(index).text == "\\etc"), None)
        if ahead is None:
            return False
        self.arguments.markup_commands[self.stream.take().text] = ["markup?"]
        for _ in range(ahead):
            self.stream.take()
        self._emit("SCALAR", token.text, token, self.stream.last_end)
        return True

    def _mode(self, token: Flat) -> None:
        name = token.text[1:]
        if self.stream.peek().text == "\\with":
            self._with()
        kind = MODES[name]
        inside = self.stream.take_music()
        reason = f"notes written as {kind} are not read" if name in HEARD_MODES else None
        self._emit("OPAQUE", unheard(kind, inside, reason), token, self.stream.last_end)

    def _lyrics_below(self, token: Flat) -> None:
        inside = self.stream.take_music()
        self._emit("POST", unheard("lyrics", inside), token, self.stream.last_end)

    def _lyrics_to(self, token: Flat) -> None:
        self.arguments.text()
        inside = self.stream.take_music()
        self._emit("OPAQUE", unheard("lyrics", inside), token, self.stream.last_end)
