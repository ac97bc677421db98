"""What the search is given and what it returns; nothing here knows of LilyPond.

A :class:`Passage` is one hand of one player: its onsets in printed order and the steps between them in
performing order. Most steps go from an onset to the next; a repeat adds the step from its end back to its
beginning, and alternatives branch. Keys identify source notes: wherever a key stands, it has the same digit.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple


class Onset(NamedTuple):
    """Everything that one hand plucks at one moment (one note or a chord, all voices together).

    ``strings`` are string numbers (C4 is 28, one more a string), strictly ascending; ``keys``, ``locks`` and
    ``orders`` run parallel to them. ``locks`` holds the finger that the source fixes (1–4) or None;
    ``orders`` the reading order of the notes, by which ties between equal costs are broken. ``stress`` is 2
    on a downbeat, 1 on a beat, 0 elsewhere. ``thumb_only`` marks harmonics and muffled notes: the thumb's,
    with no placing through them. ``rolled`` is an arpeggio sign. ``kept``, empty or parallel to ``strings``, holds
    the fingers of an earlier marking that are preferred, None where there is none.
    """

    strings: tuple[int, ...]
    keys: tuple[int, ...]
    locks: tuple[int | None, ...]
    orders: tuple[int, ...]
    stress: int = 0
    grace: bool = False
    accent: bool = False
    slur_start: bool = False
    thumb_only: bool = False
    rolled: bool = False
    glissando: bool = False
    trill: bool = False
    kept: tuple[int | None, ...] = ()


class Step(NamedTuple):
    """The onset ``after`` is played ``gap`` milliseconds after the onset ``before`` (indices).

    ``pause`` is True where a rest, a fermata, a breath or a caesura stands between: the hand may lift freely
    whatever the tempo. (A long gap is a free lift too; how long is a setting of the search.)
    """

    before: int
    after: int
    gap: int
    pause: bool = False


class Passage(NamedTuple):
    """One hand's onsets in printed order, and every step of the performance between them."""

    onsets: tuple[Onset, ...]
    steps: tuple[Step, ...]


class Problem(NamedTuple):
    """An onset (index) that can't be fingered, or whose locked digits can't be. ``rule`` is a stable name."""

    onset: int
    rule: str
    text: str


class Placed(NamedTuple):
    """The answer for one passage.

    ``fingers[i]`` are the fingers of onset i, parallel to its strings (None: no digit, see ``problems``);
    ``placings[i]`` the number of the placing that onset i belongs to; ``lifts`` the onsets before which the
    hand is free; ``cost`` is in thousandths; ``bound`` a proven lower bound, equal to ``cost`` when exact.
    """

    fingers: tuple[tuple[int | None, ...], ...]
    placings: tuple[int, ...]
    lifts: frozenset[int]
    cost: int
    bound: int
    problems: tuple[Problem, ...] = ()


def all_known(fingers: Sequence[int | None]) -> tuple[int, ...] | None:
    """The fingers on some strings; None where one of them has none."""
    found = tuple([finger for finger in fingers if finger is not None])
    return found if len(found) == len(fingers) else None
