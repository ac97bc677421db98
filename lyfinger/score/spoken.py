"""Places in the music, as musicians say them."""

from __future__ import annotations

from fractions import Fraction

from .model import Note, Score


def beat(value: Fraction) -> str:
    """A beat, 1-based: ``2``, ``2 1/2``.

    >>> beat(Fraction(5, 2)), beat(Fraction(3))
    ('2 1/2', '3')
    """
    whole, rest = divmod(value, 1)
    return f"{whole} {rest}" if rest else str(whole)


def bar_and_beat(score: Score, note: Note) -> str:
    """``bar 3, beat 2 1/2``, with ``grace note`` where it is one; nothing where the score has no bars."""
    if not score.bars:
        return ""
    grace = ", grace note" if note.grace else ""
    return f"bar {score.bar_number(note)}, beat {beat(score.beat_of(note))}{grace}"
