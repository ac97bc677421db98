"""When things happen in a score, asked very often: its moments counted on a grid, its tempo too."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction

from ..score.bars import pulses
from ..score.grid import Grid
from ..score.model import Bar, Score
from ..score.tempo import CountedPace, Pace

Span = tuple[int, int]


class Clock:
    """The time of one score. All moments and lengths are on its ``grid``; ``times`` are when the notes begin, each
    with its grace part."""

    def __init__(self, score: Score, pace: Pace) -> None:
        self.grid = score.grid.including(pace.starts)
        self.at = at = self.grid.at
        same = self.grid is score.grid
        self.times = score.times if same else [(at(note.moment), at(note.grace)) for note in score.notes]
        self._pace = CountedPace(pace, self.grid)
        self._measures = _Measures(score.bars, self.grid)
        self._own = {index: _Measures(staff.bars, self.grid) for index, staff in enumerate(score.staves) if staff.bars}
        self._rounded: dict[int, int] = {}

    def stress(self, at: int, staff: int) -> int:
        """2 on the first beat of a measure of a staff (an index), 1 on another beat (three in 9/8), else 0."""
        return self._own.get(staff, self._measures).stress(at)

    def milliseconds(self, spans: Sequence[Span]) -> Fraction:
        """How long stretches of printed time take together."""
        return Fraction(self._pace.between(spans), self._pace.parts)

    def rounded(self, spans: Sequence[Span]) -> int:
        """The same as a whole number; what comes again is worked out once."""
        length = self._pace.between(spans)
        known = self._rounded.get(length)
        if known is None:
            known = self._rounded[length] = round(Fraction(length, self._pace.parts))
        return known


class _Measures:
    """The bars of a score, or of a staff that counts by itself, with the beats as felt, on the grid."""

    def __init__(self, bars: Sequence[Bar], grid: Grid) -> None:
        at = grid.at
        self.bars = bars
        self.starts = [at(bar.start) for bar in bars]
        self.positions = [at(bar.position) for bar in bars]
        self.beats = [at(beat) for beat in pulses(bars)]

    def stress(self, now: int) -> int:
        if not self.starts:
            return 0
        at = max(bisect_right(self.starts, now) - 1, 0)
        if self.bars[at].still:
            return 0
        position = self.positions[at] + now - self.starts[at]
        if position == 0:
            return 2
        return 1 if position % self.beats[at] == 0 else 0
