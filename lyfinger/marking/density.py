"""Which digits are printed: every one, those that tell where a hand is set, or those that a hand needs to be told.

What is not printed is planned all the same. The choice looks at the answer of the search alone, never at whether a
digit is locked, so a second run over a marked file prints nothing more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from ..source.text import Place

if TYPE_CHECKING:
    from .plan import SolvedPassage

_REMEMBERED = 8
"""Placings after which a figure is printed again. A setting of ours; nobody publishes one."""


class _Set(NamedTuple):
    """One placing of a hand: its onsets (indices), the strings and the fingers of each, whether it is set after a free
    lift."""

    onsets: range
    strings: tuple[tuple[int, ...], ...]
    fingers: tuple[tuple[int | None, ...], ...]
    free: bool

    @property
    def shape(self) -> dict[int, int | None]:
        """String → finger, from the lowest string up."""
        pairs = (
            pair
            for strings, fingers in zip(self.strings, self.fingers, strict=True)
            for pair in zip(strings, fingers, strict=True)
        )
        return dict(sorted(pairs, key=lambda pair: pair[0]))

    @property
    def figure(self) -> tuple[tuple[int, ...], ...]:
        """The strings of each onset, counted from the first one's lowest."""
        base = self.strings[0][0]
        return tuple(tuple(string - base for string in strings) for strings in self.strings)


EVERY_DIGIT = "all"


def printed_places(passages: Iterable[SolvedPassage], density: str) -> frozenset[Place]:
    """The source notes (by place) whose digit is printed: those that want it in one of their soundings at least."""
    found: set[Place] = set()
    for item in passages:
        for onset in _WANTED[density](list(_sets(item))):
            indices = (index for string in item.part.notes[onset] for index in string)
            found.update(item.part.score.notes[index].source.place for index in indices)
    return frozenset(found)


def _sets(item: SolvedPassage) -> Iterator[_Set]:
    onsets, answer = item.part.passage.onsets, item.answer
    for _, group in groupby(range(len(onsets)), key=answer.placings.__getitem__):
        members = list(group)
        yield _Set(
            range(members[0], members[-1] + 1),
            tuple(onsets[index].strings for index in members),
            tuple(answer.fingers[index] for index in members),
            members[0] == 0 or members[0] in answer.lifts,
        )


def _all(sets: Iterable[_Set]) -> Iterator[int]:
    return (onset for one in sets for onset in one.onsets)


def _placings(sets: Iterable[_Set]) -> Iterator[int]:
    """The first onset of each placing, each at which a placing turns, and each chord that comes later in one."""
    for one in sets:
        yield one.onsets[0]
        yield from (one.onsets[at] for at, strings in enumerate(one.strings) if at and len(strings) > 1)
        heights = [strings[0] + strings[-1] for strings in one.strings]
        for at in range(1, len(heights) - 1):
            if (heights[at] - heights[at - 1]) * (heights[at + 1] - heights[at]) < 0:
                yield one.onsets[at]


def _needed(sets: Iterable[_Set]) -> Iterator[int]:
    """What neither the table of the trade says nor a figure that was just printed.

    A placing of the table's shape needs no digit after a free lift, or where it is struck as a chord; in a run its
    first digit says where the hand crosses; a chord that is struck again and again is no run. Any other placing needs
    all of its digits. A figure that comes again needs none: on the same strings within a few placings, or one placing
    after another on any. One that is crossed to is another figure than the same one after a lift.
    """
    last: tuple[object, ...] | None = None
    recent: dict[tuple[tuple[int, ...], ...], tuple[object, int]] = {}
    for number, one in enumerate(sets):
        told = (one.fingers, one.free)
        known, when = recent.get(one.strings, (None, 0))
        again = (known == told and number - when <= _REMEMBERED) or last == (one.figure, told)
        last, recent[one.strings] = (one.figure, told), (told, number)
        if again:
            continue
        if not _is_trained(one.shape):
            yield from one.onsets
        elif not one.free and len(set(one.strings)) > 1:
            yield one.onsets[0]


def _is_trained(shape: dict[int, int | None]) -> bool:
    """Whether a shape is what a trained hand takes by itself. A lone string is not: no table says its finger."""
    return tuple(shape.values()) in trained_fingers(tuple(shape))


def trained_fingers(strings: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    """The fingers (low to high) that a trained hand takes for strings (ascending) without being told.

    Source: two strings and three within a sixth published (Learning the Harp, *10 Rules of Harp Fingering*; Simple
    Harp, *Accords sur 3 doigts*); the seventh and three strings in an octave common practice, no source.

    >>> trained_fingers((28, 30)), trained_fingers((28, 32)), trained_fingers((28, 34))
    (((2, 1),), ((3, 1),), ((4, 1), (3, 1)))
    >>> trained_fingers((28, 31, 35)), trained_fingers((28, 30, 35))
    (((4, 2, 1),), ((4, 3, 1),))
    """
    width = strings[-1] - strings[0] + 1
    if len(strings) == 2:
        return ((2, 1),) if width <= 4 else ((3, 1),) if width <= 6 else ((4, 1), (3, 1)) if width == 7 else ((4, 1),)
    if len(strings) == 3:
        below, above = strings[1] - strings[0] + 1, strings[2] - strings[1] + 1
        if width <= 7:
            return ((3, 2, 1),)
        return ((4, 2, 1),) if below >= 4 or above <= 4 else ((4, 3, 1),)
    return ((4, 3, 2, 1),) if len(strings) == 4 else ()


_WANTED: dict[str, Callable[[list[_Set]], Iterator[int]]] = {
    EVERY_DIGIT: _all,
    "placings": _placings,
    "needed": _needed,
}
