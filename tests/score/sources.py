"""Scores for tests, read from a few lines of LilyPond."""

from __future__ import annotations

from lyfinger.reading.reader import read
from lyfinger.score.model import Reading, Score
from lyfinger.source.library import Library


def reading_of(text: str, name: str = "test.ly") -> Reading:
    """What is read from a text; pitches without octave marks of ``\\relative`` are absolute."""
    library = Library()
    return read(library.stdin(text.encode(), name), library)


def score_of(text: str) -> Score:
    """The first score of a text that must be read without a warning."""
    reading = reading_of(text)
    assert reading.messages == []
    return reading.scores[0]
