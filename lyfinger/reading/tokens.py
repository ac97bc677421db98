"""The tokens of the grammar, and the record of what each variable holds, as they are written down."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, Literal, NamedTuple

from ..source.library import Library
from ..source.text import Place, SourceFile
from .arguments import Arguments
from .foreign import SchemeDefinitions
from .layouts import Layout
from .lexer import Flat
from .stream import Sources, Stream
from .vocabulary import DEFAULT_LANGUAGE, Signature, pitch_names, vocabulary


class Tok:
    """A token of the grammar. ``value`` is what the rules' callbacks want to know; positions are global."""

    __slots__ = ("end_pos", "start_pos", "type", "value")

    def __init__(self, type_: str, value: Any, start: int, end: int) -> None:
        self.type = type_
        self.value = value
        self.start_pos = start
        self.end_pos = end


HeldKind = Literal["music", "post", "text", "duration", "value", "function", "direction", "markup", "unknown"]
"""A direction is ``_\\etc``, a markup ``^\\markup \\bold \\etc``: what is given to the variable later goes there."""


class Held:
    """What a variable holds. ``factors`` multiply a duration."""

    __slots__ = ("factors", "kind", "value")

    def __init__(self, kind: HeldKind, value: Any = None, factors: tuple[str, ...] = ()) -> None:
        self.kind = kind
        self.value = value
        self.factors = factors


class Foreign(NamedTuple):
    """What Scheme makes of music. ``names`` are the variables with music that it names: they sound somewhere.
    ``complete``: all its arguments were taken, so that what follows stands for itself."""

    reason: str
    names: tuple[str, ...] = ()
    complete: bool = False


POST_IN_SCHEME = (
    r"[#$]\(\s*(make-dynamic-script|make-articulation|make-span-event"
    r"|make-music\s+'(?!Sequential|Simult|Event)\w*Event)\b"
)
"""Scheme that makes a post-event, by the function that it calls."""

MADE_DURATION = r"[#$]\(\s*ly:make-duration\s+(-?\d+)(?:\s+(\d+)(?:\s+(\d+(?:/[1-9]\d*)?))?)?\s*\)"
"""A duration written out in Scheme: its logarithm, its dots, its factor."""

KIND_BY_TOKEN: dict[str, HeldKind] = {
    "POST": "post",
    "SCRIPT": "post",
    "DIRECTION": "post",
    "TEXT": "text",
    "SCALAR": "value",
    "BLOCK": "value",
    "DURATION": "duration",
    "FRACTION": "value",
}


class TokenWriter:
    """Where the grammar's tokens are collected; the adapter's parts share it."""

    def __init__(self, sources: Sources, root: SourceFile, library: Library) -> None:
        self.sources = sources
        self.library = library
        self.stream = Stream(sources, root)
        self.arguments = Arguments(self.stream)
        self.arguments.names = pitch_names(DEFAULT_LANGUAGE)
        sources.languages[DEFAULT_LANGUAGE] = None
        self.words = vocabulary()
        self.held: dict[str, Held] = {}
        self.tokens: list[Tok] = []
        self.includes: list[tuple[Place, str, SourceFile]] = []
        self.tag_groups: dict[str, int] = {}
        self.passed_over: list[tuple[int, int, str]] = []
        """Music that is nobody's to read, with the reason: it is warned of (global offsets)."""
        self.scheme = SchemeDefinitions()
        self.layouts: list[Layout] = []
        self.toolkit = False
        """Whether the typesetter's kit for vocal templates is there: its functions print variables of set names."""
        self._open: list[tuple[str, int]] = []
        self._assigning: str | None = None
        self._pitches: dict[str, Any] = {}
        self._texts: dict[str, tuple[int, int]] = {}

    def _emit(self, type_: str, value: Any, token: Flat, end: int | None = None) -> None:
        if type_ == "OPAQUE" and self.tokens and self.tokens[-1].type == "DIRECTION":
            type_, value = "POST", "unknown"  # whatever it is, it takes no time
        self.tokens.append(Tok(type_, value, token.start, token.end if end is None else end))
        if self._assigning is not None and type_ not in ("PREFIX", "PREFIX2"):
            if type_ == "TEXT":
                self._texts[self._assigning] = (token.start, self.tokens[-1].end_pos)
            self._note_kind(type_, value)

    def _foreign(
        self, reason: str, token: Flat, text: str = "", names: Iterable[str] = (), *, complete: bool = False
    ) -> None:
        """Says that music is made here by means that aren't followed. ``text`` is the Scheme that makes it, or the
        name that it was defined by; ``names`` are variables that it uses besides. ``complete``: :class:`Foreign`."""
        self._emit("OPAQUE", self._passage(reason, text, names, complete=complete), token, self.stream.last_end)

    def _passage(self, reason: str, text: str, names: Iterable[str] = (), *, complete: bool = False) -> Foreign:
        self._pass_over(text)
        music = self.music_names()
        used = dict.fromkeys([*(name for name in names if name in music), *self.scheme.music_in(text, music)])
        return Foreign(reason, tuple(used), complete)

    def _pass_over(self, text: str) -> None:
        """Notes that are written in a definition are nobody's to read."""
        for found in self.scheme.with_notes(text, self.arguments.names):
            entry = (found.start, found.end, "notes in Scheme are printed elsewhere, and not read there")
            if entry not in self.passed_over:
                self.passed_over.append(entry)

    def music_names(self) -> set[str]:
        """The variables that hold music now."""
        return {name for name, held in self.held.items() if held.kind == "music"}

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
        kind: HeldKind = KIND_BY_TOKEN.get(type_, "music")
        if kind == "value" and isinstance(value, str) and re.match(POST_IN_SCHEME, value):
            kind = "post"
        made = re.fullmatch(MADE_DURATION, value) if kind == "value" and isinstance(value, str) else None
        held = Held(kind, value) if made is None else _made_duration(*made.groups())
        self.held[name] = held
        if held.kind in ("duration", "value") and isinstance(held.value, str):
            self.arguments.scalars[name] = "*".join((held.value, *held.factors))


def _made_duration(log: str, dots: str | None, factor: str | None) -> Held:
    """What a variable holds that ``ly:make-duration`` was given to."""
    written = {-1: "\\breve", -2: "\\longa", -3: "\\maxima"}.get(int(log)) or str(2 ** min(max(int(log), 0), 12))
    factors = (factor,) if factor else ()
    if written.isdigit():
        return Held("duration", written + "." * min(int(dots or 0), 8), factors)
    return Held("duration", written, factors) if not int(dots or 0) else Held("unknown")
