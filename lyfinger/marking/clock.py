"""When things happen in a score, asked very often: its moments counted on a grid, its tempo looked up."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction

from ..score.bars import pulses
from ..score.grid import Grid
from ..score.model import Score
from ..score.tempo import Pace

Span = tuple[Fraction, Fraction]


class Clock:
    """The time of one score. ``at`` counts a moment or a length of it in ``unit`` parts of a whole note."""

    def __init__(self, score: Score, pace: Pace) -> None:
        self.pace = pace
        self._bars = score.bars
        beats = pulses(score.bars)
        grid = Grid(_moments(score, beats))
        self.at = grid.at
        self._starts = [grid.at(bar.start) for bar in score.bars]
        self._pulses = [grid.at(beat) for beat in beats]
        self._milliseconds: dict[tuple[int, int], Fraction] = {}

    def stress(self, moment: Fraction) -> int:
        """2 on the first beat of a measure, 1 on another beat (as felt: three in 9/8), else 0."""
        if not self._starts:
            return 0
        now = self.at(moment)
        at = max(bisect_right(self._starts, now) - 1, 0)
        bar = self._bars[at]
        if bar.still:
            return 0
        position = self.at(bar.position) + now - self._starts[at]
        if position == 0:
            return 2
        return 1 if position % self._pulses[at] == 0 else 0

    def milliseconds(self, spans: Sequence[Span]) -> Fraction:
        """How long stretches of printed time take together; what one tempo holds through is worked out once."""
        if len(spans) == 1:
            return self._within(*spans[0])
        return sum((self._within(start, end) for start, end in spans), Fraction(0))

    def _within(self, start: Fraction, end: Fraction) -> Fraction:
        starts = self.pace.starts
        piece = max(bisect_right(starts, start) - 1, 0) if len(starts) > 1 else 0
        if piece + 1 < len(starts) and starts[piece + 1] < end:
            return self.pace.milliseconds(start, end)
        key = (piece, self.at(end) - self.at(start))
        found = self._milliseconds.get(key)
        if found is None:
            found = self._milliseconds[key] = self.pace.milliseconds(start, end)
        return found


def _moments(score: Score, beats: Sequence[Fraction]) -> Iterator[Fraction]:
    """Everything that has to lie on the grid of a score."""
    for note in score.notes:
        yield note.moment
        yield note.grace
        yield note.duration
    for bar, beat in zip(score.bars, beats, strict=True):
        yield bar.start
        yield bar.position
        yield beat
    for repeat in score.repeats:
        yield repeat.start
        yield repeat.end
        for start, end, _ in repeat.alternatives:
            yield start
            yield end
