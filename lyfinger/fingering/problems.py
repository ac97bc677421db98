"""Moments that no hand can play, or whose locked digits no hand can take."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations

from ..harp.reach import FINGERINGS, Reach
from ..score.pitch import string_name
from .model import Onset, Problem

TOO_MANY = "four-fingers"
OUT_OF_REACH = "reach"
NO_SUCH_FINGER = "finger-number"
FINGER_TWICE = "finger-twice"
CROSSED = "crossed-fingers"
NO_FINGER_LEFT = "no-finger-left"
REUSED = "reused-note"

PROBLEMS: dict[str, str] = {
    TOO_MANY: "more than four strings for one hand at once",
    OUT_OF_REACH: "a span that the hand does not reach",
    NO_SUCH_FINGER: "a locked digit that is not 1–4",
    FINGER_TWICE: "one finger locked on two strings at once",
    CROSSED: "locked digits whose higher string has the lower finger",
    NO_FINGER_LEFT: "locked digits that leave no finger for a string between or beside them",
    REUSED: "notes of reused music that can't have the same digits in every place",
}
"""Stable names of the problems, with what they mean."""


def locked(locks: tuple[int | None, ...], fingers: tuple[int, ...]) -> bool:
    """Whether ``fingers`` keep every locked digit."""
    return all(lock is None or lock == finger for lock, finger in zip(locks, fingers, strict=True))


def options(onset: Onset, reach: Reach) -> tuple[tuple[int, ...], ...]:
    """The ways to finger an onset, low to high, within its locks and, where there is one, within reach.

    Locked digits that keep the order but stretch a pair beyond its greatest spread are the player's own choice:
    they are kept, and judged by the stretch rules.
    """
    return _options(onset.strings, onset.locks, onset.thumb_only, reach)


@lru_cache(maxsize=1 << 14)
def _options(
    strings: tuple[int, ...], locks: tuple[int | None, ...], thumb_only: bool, reach: Reach
) -> tuple[tuple[int, ...], ...]:  # fmt: skip
    ordered = FINGERINGS[len(strings)]
    if any(lock is not None for lock in locks):
        ordered = tuple(f for f in ordered if locked(locks, f))
    if thumb_only and len(strings) == 1 and locks == (None,):
        ordered = ((1,),)
    return reach.allowed(strings, ordered) or (ordered if any(locks) else ())


def no_finger_text(finger: int | str) -> str:
    return f"no finger {finger} on the harp: 1, the thumb, to 4; the little finger does not play"


def twice_text(finger: int, low: int, high: int) -> str:
    return f"finger {finger} is on {string_name(low)} and on {string_name(high)} at once"


def crossed_text(finger: int, low: int, other: int, high: int) -> str:
    """What is said of ``finger`` on the string ``low`` under a higher digit on ``high``."""
    crossed = f"{finger} on {string_name(low)} under {other} on {string_name(high)}"
    return f"crossed fingers: {crossed}; the higher string takes the lower number"


def _bad_locks(onset: Onset) -> tuple[str, str] | None:
    locked_to = [(s, finger) for s, finger in zip(onset.strings, onset.locks, strict=True) if finger is not None]
    for _, finger in locked_to:
        if not 1 <= finger <= 4:
            return NO_SUCH_FINGER, no_finger_text(finger)
    pairs = list(combinations(locked_to, 2))
    for (low, finger), (high, other) in pairs:
        if finger == other:
            return FINGER_TWICE, twice_text(finger, low, high)
    for (low, finger), (high, other) in pairs:
        if finger < other:
            return CROSSED, crossed_text(finger, low, other, high)
    return None


@lru_cache(maxsize=1 << 14)
def _plays(strings: tuple[int, ...], locks: tuple[int | None, ...], thumb_only: bool, reach: Reach) -> bool:
    """Whether an onset without locks is within reach: most are, and the same ones come again and again."""
    if any(lock is not None for lock in locks) or len(strings) > 4 or not reach.spans(strings):
        return False
    return bool(_options(strings, locks, thumb_only, reach))


def problem_of(onset: Onset, index: int, reach: Reach) -> Problem | None:
    """The problem of one onset, or None."""
    if _plays(onset.strings, onset.locks, onset.thumb_only, reach):
        return None
    size = len(onset.strings)
    bad = _bad_locks(onset) if onset.locks.count(None) < size else None
    if bad is not None:
        return Problem(index, *bad)
    if size > 4:
        return Problem(index, TOO_MANY, f"{size} strings for one hand at once: it has four fingers")
    if not reach.spans(onset.strings):
        low, high = onset.strings[0], onset.strings[-1]
        width = reach.span(low, high) // 1000
        text = f"{string_name(low)} to {string_name(high)} ({width} mm) is out of the hand's reach"
        return Problem(index, OUT_OF_REACH, f"{text} ({reach.hand.reach // 1000} mm)")
    if options(onset, reach):
        return None
    if any(onset.locks):
        return Problem(index, NO_FINGER_LEFT, "the given digits leave no finger for another string")
    return Problem(index, OUT_OF_REACH, "the fingers do not reach this chord")
