"""Clefs, and the hand that one speaks for."""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction

from ..score.model import Score
from .model import Hand
from .words import word_set

_RIGHT_CLEFS = word_set("treble violin G french tenorG GG G2 soprano mezzosoprano")
_LEFT_CLEFS = word_set("bass F varbaritone baritone baritonevarF subbass tenor")


def clef_at(score: Score, staff: int, moment: Fraction) -> str:
    """The clef of a staff (an index) at a moment, as written; ``treble`` where there is none."""
    clefs = score.staves[staff].clefs
    found = bisect_right(clefs, moment, key=lambda change: change.moment)
    return clefs[found - 1].clef if found else "treble"


def clef_hand(clef: str) -> Hand | None:
    """The hand that a clef speaks for, octave figures (``bass_8``) aside; None for a clef of the middle."""
    letters = "".join(char for char in clef if char.isalpha())
    if letters in _RIGHT_CLEFS:
        return Hand.RIGHT
    return Hand.LEFT if letters in _LEFT_CLEFS else None
