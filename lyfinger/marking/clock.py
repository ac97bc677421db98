"""When things happen in a score, asked very often: its moments counted on a grid, its tempo looked up."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction

from ..score.bars import pulses
from ..score.grid import Grid
from ..score.model import Bar, Score
from ..score.tempo import Pace

Span = tuple[Fraction, Fraction]


class Clock:
    """The time of one score. ``at`` counts a moment or a length of it in ``unit`` parts of a whole note."""

    def __init__(self, score: Score, pace: Pace) -> None:
        self.pace = pace
        own = {index: staff.bars for index, staff in enumerate(score.staves) if staff.bars}
        counts = [(bars, pulses(bars)) for bars in (score.bars, *own.values())]
        grid = Grid(_moments(score, counts))
        self.at = grid.at
        self._measures, *others = (_Measures(bars, beats, grid) for bars, beats in counts)
        self._own = dict(zip(own, others, strict=True))
        self._milliseconds: dict[tuple[int, int], Fraction] = {}
        self._rounded: dict[int, tuple[Fraction, int]] = {}

    def stress(self, moment: Fraction, staff: int) -> int:
        """2 on the first beat of a measure of a staff (an index), 1 on another beat (three in 9/8), else 0."""
        return self._own.get(staff, self._measures).stress(self.at(moment))

    def counted(self, spans: Sequence[Span]) -> list[tuple[int, int]]:
        """Stretches of printed time on the grid."""
        at = self.at
        return [(at(start), at(end)) for start, end in spans]

    def milliseconds(self, spans: Sequence[Span], counted: Sequence[tuple[int, int]]) -> Fraction:
        """How long stretches of printed time, given as they are and on the grid, take together; what one tempo holds
        through is worked out once."""
        each = [self._within(*span, to - since) for span, (since, to) in zip(spans, counted, strict=True)]
        return each[0] if len(each) == 1 else sum(each, Fraction(0))

    def rounded(self, length: Fraction) -> int:
        """Milliseconds as a whole number. What comes again is mostly the very same object, which is held here."""
        known = self._rounded.get(id(length))
        if known is None:
            known = self._rounded[id(length)] = (length, round(length))
        return known[1]

    def _within(self, start: Fraction, end: Fraction, length: int) -> Fraction:
        starts = self.pace.starts
        piece = max(bisect_right(starts, start) - 1, 0) if len(starts) > 1 else 0
        if piece + 1 < len(starts) and starts[piece + 1] < end:
            return self.pace.milliseconds(start, end)
        key = (piece, length)
        found = self._milliseconds.get(key)
        if found is None:
            found = self._milliseconds[key] = self.pace.milliseconds(start, end)
        return found


class _Measures:
    """The bars of a score, or of a staff that counts by itself, with the beats as felt, on the grid."""

    def __init__(self, bars: Sequence[Bar], beats: Sequence[Fraction], grid: Grid) -> None:
        self.bars = bars
        self.starts = [grid.at(bar.start) for bar in bars]
        self.positions = [grid.at(bar.position) for bar in bars]
        self.beats = [grid.at(beat) for beat in beats]

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


def _moments(score: Score, counts: Sequence[tuple[Sequence[Bar], Sequence[Fraction]]]) -> Iterator[Fraction]:
    """Everything that has to lie on the grid of a score."""
    for note in score.notes:
        yield note.moment
        yield note.grace
        yield note.duration
    for bars, beats in counts:
        for bar, beat in zip(bars, beats, strict=True):
            yield bar.start
            yield bar.position
            yield beat
    for repeat in score.repeats:
        yield repeat.start
        yield repeat.end
        for start, end, _ in repeat.alternatives:
            yield start
            yield end
