"""Music in the other input modes: words, chord names, figures, percussion. Not read, but it takes time, and a note
behind it that is written without a duration has the last one in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from .arguments import duration_value, fraction
from .lexer import Flat

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

PLAIN = frozenset({"Word", "Number", "Fraction"})
JOINTS = frozenset({":", ".", "^", "/", "+", "-"})
"""What begins the words and numbers of a chord's name (``:sus4``, ``:7.9-``, ``/g``) and strokes (``:32``)."""
PASSED = frozenset({"{", "}", "<", ">", "|", "~", "*"}) | JOINTS
ONE = Fraction(1)


class Unheard(NamedTuple):
    """Music that was passed over. ``reason`` is said where such music might stand in a staff.

    ``length`` is that of all in whole notes, where it can be told. ``carried`` is the last duration written in it,
    with ``scale`` as the factor that ``*`` gives; None where none is written.
    """

    kind: str
    reason: str | None = None
    length: Fraction | None = None
    carried: Fraction | None = None
    scale: Fraction = ONE


class _Event:
    """A word, a chord, a figure, a duration by itself; ``written``: without its factor."""

    __slots__ = ("scale", "written")

    def __init__(self, written: Fraction | None = None) -> None:
        self.written = written
        self.scale: Fraction = ONE

    @property
    def length(self) -> Fraction | None:
        return None if self.written is None else self.written * self.scale


def unheard(kind: str, inside: Sequence[Flat], reason: str | None = None) -> Unheard:
    """The music of a mode (a value of :data:`MODES`) whose braces hold these tokens."""
    events = _events(inside, frozenset() if kind == "lyrics" else JOINTS)
    plain = all(token.kind in PLAIN or token.text in PASSED for token in inside)
    last = next((event for event in reversed(events) if event.written is not None), _Event())
    return Unheard(kind, reason, _total(events) if plain else None, last.length, last.scale)


def _total(events: Sequence[_Event]) -> Fraction | None:
    """None where the first event has no duration of its own."""
    total, length = Fraction(0), None
    for event in events:
        length = event.length or length
        if length is None:
            return None
        total += length
    return total


def _events(inside: Sequence[Flat], joints: frozenset[str]) -> list[_Event]:
    found: list[_Event] = []
    starred = False
    for token in _outside_names(inside, joints):
        value = duration_value(token.text)
        if starred and found:
            found[-1].scale *= _factor(token)
        elif value is not None and found and found[-1].written is None:
            found[-1].written = value
        elif value is not None:
            found.append(_Event(value))
        elif token.kind in ("Word", "QuotedString") or token.text == ">":
            found.append(_Event())
        starred = token.text == "*"
    return found


def _outside_names(inside: Sequence[Flat], joints: frozenset[str]) -> Iterator[Flat]:
    """The tokens without what is joined to a chord's name, stands between angle brackets, or heads a repeat."""
    joined = angled = False
    end = heads = 0
    for token in inside:
        angled = token.text != ">" and (angled or token.text == "<")
        joined = token.text in joints or (joined and token.start == end)
        if not (joined or angled or heads):
            yield token
        end, heads = token.end, 2 if token.text == "\\repeat" else max(heads - 1, 0)


def _factor(token: Flat) -> Fraction:
    if token.kind == "Number" and token.text.isdigit():
        return Fraction(int(token.text))
    value = fraction(token.text) if token.kind == "Fraction" else None
    return value if isinstance(value, Fraction) else ONE
