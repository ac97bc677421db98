"""How fast the music goes: printed time to milliseconds, by the tempo in force.

A mark with a number rules; a tempo word alone stands for the middle of its usual range; other words (dolce, rit.)
change nothing. Where nothing is said, a default is in force. Ranges are common practice, no source: editions and
metronomes differ.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate, pairwise
from math import lcm
from typing import NamedTuple, overload

from .bars import pulses
from .grid import Grid
from .model import Score, Tempo

#: Quarters a minute where a score says nothing. A setting, not a fact.
DEFAULT_TEMPO = Fraction(72)

#: Usual ranges in beats a minute, the more particular words first.
RANGES: tuple[tuple[str, int, int], ...] = (
    ("allegro moderato", 112, 124),
    ("très lent", 40, 52),
    ("très vif", 152, 176),
    ("sehr langsam", 40, 52),
    ("sehr schnell", 152, 176),
    ("larghissimo", 20, 40),
    ("prestissimo", 184, 208),
    ("adagietto", 69, 76),
    ("allegretto", 104, 120),
    ("allegrissimo", 172, 176),
    ("andantino", 80, 100),
    ("larghetto", 60, 69),
    ("vivacissimo", 168, 184),
    ("grave", 35, 46),
    ("largo", 42, 60),
    ("lento", 48, 60),
    ("adagio", 58, 72),
    ("andante", 72, 88),
    ("moderato", 96, 112),
    ("allegro", 120, 144),
    ("vivace", 144, 168),
    ("vivo", 144, 160),
    ("animato", 120, 138),
    ("presto", 168, 192),
    ("lent", 48, 60),
    ("modéré", 96, 112),
    ("animé", 120, 138),
    ("vif", 132, 152),
    ("rapide", 144, 168),
    ("langsam", 50, 63),
    ("ruhig", 60, 76),
    ("mäßig", 92, 108),
    ("mässig", 92, 108),
    ("bewegt", 108, 126),
    ("lebhaft", 126, 144),
    ("schnell", 144, 168),
    ("slow", 50, 66),
    ("moderate", 96, 112),
    ("lively", 126, 144),
    ("fast", 138, 160),
)
#: Changes of the tempo in force, in hundredths.
CHANGES: tuple[tuple[str, int], ...] = (
    ("doppio movimento", 200),
    ("meno mosso", 80),
    ("più mosso", 120),
    ("piu mosso", 120),
    ("più lento", 80),
    ("piu lento", 80),
)
_FIRST_TEMPO = r"\btempo (i|1o?|1º|primo|di prima)(?!\w)"
_COMPOUND_BEAT = Fraction(3, 8)
_QUARTER = Fraction(1, 4)
_MINUTE = 60_000


class Pace(NamedTuple):
    """Piecewise constant tempo: from ``starts[i]`` on, a whole note takes ``wholes[i]`` milliseconds."""

    starts: tuple[Fraction, ...]
    wholes: tuple[Fraction, ...]

    def milliseconds(self, start: Fraction, end: Fraction) -> Fraction:
        """How long the printed time from ``start`` to ``end`` (moments, in order) takes."""
        if len(self.starts) == 1:
            return (end - start) * self.wholes[0]
        at = max(bisect_right(self.starts, start) - 1, 0)
        total = Fraction(0)
        while at + 1 < len(self.starts) and self.starts[at + 1] < end:
            total += (self.starts[at + 1] - start) * self.wholes[at]
            start = self.starts[at + 1]
            at += 1
        return total + (end - start) * self.wholes[at]


class CountedPace:
    """A pace with its moments on a grid, where whole numbers do; exact. Times are in ``1/parts`` of a millisecond.

    The ``grid`` must have the starts of the pace's pieces on it.
    """

    __slots__ = ("_passed", "_rates", "_starts", "grid", "parts")

    def __init__(self, pace: Pace, grid: Grid) -> None:
        rates = [whole / grid.unit for whole in pace.wholes]
        self.grid = grid
        self.parts = lcm(*[rate.denominator for rate in rates])
        self._rates = [rate.numerator * (self.parts // rate.denominator) for rate in rates]
        self._starts = [grid.at(start) for start in pace.starts]
        lengths = [later - start for start, later in pairwise(self._starts)]
        passed = [length * rate for length, rate in zip(lengths, self._rates, strict=False)]
        self._passed = list(accumulate(passed, initial=0))

    @overload
    def elapsed(self, at: int) -> int: ...

    @overload
    def elapsed(self, at: int | Fraction) -> int | Fraction: ...

    def elapsed(self, at: int | Fraction) -> int | Fraction:
        """The time from the beginning to a moment in units of the grid (or between two)."""
        piece = max(bisect_right(self._starts, at) - 1, 0)
        return self._passed[piece] + (at - self._starts[piece]) * self._rates[piece]

    def between(self, spans: Sequence[tuple[int, int]]) -> int:
        """The time that stretches from one moment to a later one, in units of the grid, take together."""
        if len(self._rates) == 1:
            return sum([end - start for start, end in spans]) * self._rates[0]
        return sum([self.elapsed(end) - self.elapsed(start) for start, end in spans])

    def milliseconds(self, start: int | Fraction, end: int | Fraction) -> int:
        """The whole milliseconds from one moment to a later one, both in units of the grid."""
        return int((self.elapsed(end) - self.elapsed(start)) // self.parts)


def pace(score: Score, default: Fraction = DEFAULT_TEMPO, elsewhere: Iterable[Score] = ()) -> Pace:
    """The pace of a score; ``default`` is in quarters a minute.

    Where the score itself has no tempo mark that says how fast, those of the first of ``elsewhere`` (scores for
    ``\\midi`` alone) that has one are taken.
    """
    for candidate in (score, *elsewhere):
        starts, wholes = _pieces(candidate, default)
        if starts:
            break
    if not starts or starts[0] > 0:
        starts, wholes = [Fraction(0), *starts], [_whole(_QUARTER, default), *wholes]
    return Pace(tuple(starts), tuple(wholes))


def _pieces(score: Score, default: Fraction) -> tuple[list[Fraction], list[Fraction]]:
    starts: list[Fraction] = []
    wholes: list[Fraction] = []
    for tempo in _one_each(score.tempos):
        now = wholes[-1] if wholes else _whole(_QUARTER, default)
        whole = _meaning(score, tempo, now, wholes[0] if wholes else now)
        if whole is not None:
            starts.append(tempo.moment)
            wholes.append(whole)
    return starts, wholes


def _one_each(tempos: Sequence[Tempo]) -> list[Tempo]:
    """One mark a moment, in order: the one with a number, else the last."""
    by_moment: dict[Fraction, Tempo] = {}
    for tempo in tempos:
        known = by_moment.get(tempo.moment)
        if known is None or known.count is None or tempo.count is not None:
            by_moment[tempo.moment] = tempo
    return [by_moment[moment] for moment in sorted(by_moment)]


def _meaning(score: Score, tempo: Tempo, now: Fraction, first: Fraction) -> Fraction | None:
    """Milliseconds a whole note at a mark; None if it says nothing of how fast."""
    if tempo.unit and tempo.count:
        return _whole(tempo.unit, tempo.count)
    text = tempo.text or ""
    if re.search(_FIRST_TEMPO, text, re.IGNORECASE):
        return first
    percent = next((percent for words, percent in CHANGES if _has(text, words)), None)
    if percent is not None:
        return now * 100 / percent
    usual = next(((low, high) for word, low, high in RANGES if _has(text, word)), None)
    return None if usual is None else _whole(_beat(score, tempo.moment), Fraction(sum(usual), 2))


@lru_cache(maxsize=1024)
def _has(text: str, words: str) -> bool:
    return re.search(rf"\b{re.escape(words)}\b", text, re.IGNORECASE) is not None


def _beat(score: Score, moment: Fraction) -> Fraction:
    """What a tempo word counts: dotted quarters in 6/8, 9/8 and 12/8, else quarters."""
    if not score.bars:
        return _QUARTER
    at = max(bisect_right(score.bars, moment, key=lambda bar: bar.start) - 1, 0)
    return _COMPOUND_BEAT if pulses(score.bars)[at] == _COMPOUND_BEAT else _QUARTER


def _whole(unit: Fraction, count: Fraction) -> Fraction:
    return _MINUTE / (unit * count)
