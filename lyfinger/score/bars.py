"""Measures and their printed numbers, counted as the typesetter's timing translator counts them.

Every score begins in measure 1 at position 0 of a 4/4 measure. The position runs with the music; where it
reaches the measure length, it goes back to 0 and the bar number grows by one. The changes below act on that
count. Their moment (main, grace) is that of the music that follows them: before a grace group it is the group's
beginning. What each change does was read off the typesetter (2.25.12), whose measures are compared with these
in ``tests/score``. All moments and lengths are fractions of a whole note.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import groupby, pairwise
from typing import NamedTuple

from .model import Bar

#: Empty measures in a row (a long rest, say) beyond which only those with something in them are listed.
LONGEST_EMPTY_RUN = 1000
#: Bars in one score beyond which they aren't listed.
MOST_BARS = 100_000


class TimeSignature(NamedTuple):
    """``\\time``: the measure length becomes ``numerator/denominator``, the beat ``1/denominator``.

    The position stays, so in mid-measure the measure may end sooner or later than the bar line that one expects.
    """

    moment: Fraction
    numerator: int
    denominator: int
    grace: Fraction = Fraction(0)


class MeasureLength(NamedTuple):
    """``\\set Timing.measureLength`` (also the last part of ``\\compoundMeter``)."""

    moment: Fraction
    length: Fraction
    grace: Fraction = Fraction(0)


class BeatLength(NamedTuple):
    """``\\set Timing.baseMoment`` (``beatBase`` from 2.25.23 on)."""

    moment: Fraction
    beat: Fraction
    grace: Fraction = Fraction(0)


class Signature(NamedTuple):
    """``timeSignatureFraction`` without ``\\time``: what the typesetter's fraction is a multiple of.

    It moves neither bar lines nor the beat that is felt (``\\compoundMeter`` sets it to the reduced sum, 1/1 in 3+2+3
    eighths). ``own``: set for this staff alone, where it outlasts every ``\\time``.
    """

    moment: Fraction
    unit: Fraction
    grace: Fraction = Fraction(0)
    own: bool = False


class Partial(NamedTuple):
    """``\\partial``: what is left of the measure. In the first time step of a score the position becomes
    ``-duration``, so that the upbeat and the measure after it share a number; later ``length - duration``."""

    moment: Fraction
    duration: Fraction
    grace: Fraction = Fraction(0)


class Cadenza(NamedTuple):
    """``\\cadenzaOn`` (``on`` True: the count stands still) or ``\\cadenzaOff`` (it goes on where it stood)."""

    moment: Fraction
    on: bool
    grace: Fraction = Fraction(0)


class BarNumber(NamedTuple):
    """``\\set Score.currentBarNumber``: the number of the measure that this moment is in."""

    moment: Fraction
    number: int
    grace: Fraction = Fraction(0)


class Numbering(NamedTuple):
    """``\\set Score.alternativeNumberingStyle``: ``again`` where every alternative of a repeat that begins from now on
    takes up the number of the first (styles ``numbers`` and ``numbers-with-letters``)."""

    moment: Fraction
    again: bool
    grace: Fraction = Fraction(0)


class MeasurePosition(NamedTuple):
    """``\\set Timing.measurePosition``."""

    moment: Fraction
    position: Fraction
    grace: Fraction = Fraction(0)


class AlternativeStart(NamedTuple):
    """The beginning of an alternative of ``\\repeat volta`` or ``\\repeat segno`` (``repeat`` tells repeats apart).

    The first of a repeat keeps position and measure length; each later one takes them up again (the
    typesetter's ``alternativeRestores``), unless a cadenza is on. The bar number counts on, unless
    :class:`Numbering` was in force at the first and the repeat is ``numbered`` (a ``volta`` repeat). ``first`` says
    which it is where the same repeat may be read twice (music of a variable); None: the first that is met.
    """

    moment: Fraction
    repeat: int
    grace: Fraction = Fraction(0)
    first: bool | None = None
    numbered: bool = True


class TooManyBars(Exception):
    """A score has more than :data:`MOST_BARS` bars."""


Change = (
    TimeSignature
    | MeasureLength
    | BeatLength
    | Signature
    | Partial
    | Cadenza
    | BarNumber
    | Numbering
    | MeasurePosition
    | AlternativeStart
)


def bars(changes: Sequence[Change], end: Fraction, steps: Iterable[tuple[Fraction, Fraction]] = ()) -> list[Bar]:
    """The measures from moment 0 to ``end``, in order; never empty.

    ``changes`` are in order of moment and grace, those of one time step in source order; lengths are positive.
    ``steps`` are the moments (main, grace) of everything that sounds or rests, in order; they decide two
    things only: whether a ``\\partial`` is in the first time step, and when a measure ends whose position is
    beyond its length already (the typesetter ends it at its next time step; without ``steps``, at once).

    A bar is listed again, with the same number, where its position jumps or its beat or length changes. During a
    cadenza the position given is the one that stands still. In the very time step of a ``\\partial`` in mid-piece the
    typesetter still shows the old position (:attr:`Bar.overtaken`); here it is the new one. Grace notes before a change
    are still in the bar that was listed before (:attr:`Bar.grace`).
    """
    known = tuple(steps)
    first = min(known[0] if known else (Fraction(0), Fraction(0)), (Fraction(0), Fraction(0)))
    count = _Count(end, tuple(moment for moment, _ in known))
    for (moment, grace), group in groupby(changes, key=lambda change: (change.moment, change.grace)):
        count.advance(moment)
        opening = (moment, grace) <= first
        for change in _in_effect(group, opening):
            count.apply(change, opening)
        before = bisect_left(known, (moment, grace)) - 1
        count.note(grace if before >= 0 and known[before][0] == moment else None)
        behind = bisect_right(known, (moment, grace))
        if behind < len(known) and known[behind][0] == moment:
            count.end_overfull(known[behind][1])
    count.advance(end)
    return count.bars


def pulses(listed: Sequence[Bar]) -> list[Fraction]:
    """The beat that is felt in each bar: three of the written ones in 6/8, 9/8, 12/8 and their like in sixteenths.

    A measure whose length can't be seen (an upbeat, the last one) is taken to be like the next whole one, else like
    the one before.
    """
    lengths: list[Fraction | None] = []
    for bar, following in pairwise(listed):
        whole = bar.position == 0 and following.position == 0 and bar.start < following.start
        lengths.append((following.start - bar.start) / bar.beat if whole else None)
    if not listed:
        return []
    lengths.append(None)
    for at in reversed(range(len(lengths) - 1)):
        if lengths[at] is None and listed[at].beat == listed[at + 1].beat:
            lengths[at] = lengths[at + 1]
    for at in range(1, len(lengths)):
        if lengths[at] is None and listed[at].beat == listed[at - 1].beat:
            lengths[at] = lengths[at - 1]
    return [
        3 * bar.beat if bar.beat <= Fraction(1, 8) and length in (6, 9, 12) else bar.beat
        for bar, length in zip(listed, lengths, strict=True)
    ]


def _in_effect(changes: Iterable[Change], opening: bool) -> list[Change]:
    """The changes of one time step: numbers first (an alternative overrides them), ``\\partial`` last (it acts as the
    step ends, except in the opening one) and of several only the first."""
    listed = list(changes)
    numbers = [change for change in listed if isinstance(change, BarNumber | Numbering)]
    partials = [change for change in listed if isinstance(change, Partial)]
    others = [change for change in listed if not isinstance(change, BarNumber | Numbering | Partial)]
    return [*numbers, *partials[:1], *others] if opening else [*numbers, *others, *partials[:1]]


class _Kept(NamedTuple):
    """What the first alternative of a repeat keeps for the others; ``number`` None where they count on."""

    position: Fraction
    length: Fraction
    number: int | None


class _Count:
    """The running count: at moment ``at`` the position is ``position`` in measure ``number``."""

    __slots__ = (
        "again",
        "at",
        "bars",
        "beat",
        "end",
        "kept",
        "length",
        "moments",
        "number",
        "overtaken",
        "own",
        "position",
        "signature",
        "timing",
    )

    def __init__(self, end: Fraction, moments: tuple[Fraction, ...]) -> None:
        self.end = end
        self.moments = moments
        self.at: Fraction = Fraction(0)
        self.number = 1
        self.position: Fraction = Fraction(0)
        self.length: Fraction = Fraction(1)
        self.beat: Fraction = Fraction(1, 4)
        self.signature: Fraction | None = None
        self.own = False
        self.timing = True
        self.again = False
        self.overtaken: tuple[Fraction, Fraction] | None = None
        self.kept: dict[int, _Kept] = {}
        self.bars: list[Bar] = [Bar(1, Fraction(0), Fraction(0), Fraction(1, 4))]

    def note(self, grace: Fraction | None = None) -> None:
        """List the bar as it now is, unless the last one listed says the same already."""
        last, overtaken = self.bars[-1], self.overtaken
        self.overtaken = None
        now = Bar(
            self.number,
            self.at,
            self.position,
            self.beat,
            not self.timing,
            self.length,
            self.signature,
            grace,
            overtaken,
        )
        if last.number == self.number and now == last._replace(
            start=self.at, position=last.position_at(self.at), grace=grace, overtaken=None
        ):
            return
        if last.start == self.at and grace is None:
            self.bars.pop()
        if len(self.bars) == MOST_BARS:
            raise TooManyBars
        self.bars.append(now)

    def advance(self, to: Fraction) -> None:
        """Let time run to ``to``, ending measures on the way."""
        if self.timing:
            self._end_overfull(to)
            far = (to - self.at) // self.length > LONGEST_EMPTY_RUN
            while (following := self.at + (self.length - self.position)) <= to:
                self.at, self.position = following, Fraction(0)
                self.number += 1
                if self.at < self.end:
                    self.note()
                if far:
                    self._leap(to)
            self.position += to - self.at
        self.at = to

    def end_overfull(self, grace: Fraction) -> None:
        """End a measure whose position is beyond its length at a time step of the present moment."""
        if self.timing and self.position >= self.length:
            self.number += int(self.position // self.length)
            self.position %= self.length
            self.note(grace)

    def _end_overfull(self, to: Fraction) -> None:
        if self.position < self.length or to == self.at:
            return
        following = bisect_right(self.moments, self.at)
        step = min(self.moments[following], to) if following < len(self.moments) else to if self.moments else self.at
        self.position += step - self.at
        self.at = step
        self.number += int(self.position // self.length)
        self.position %= self.length
        if self.at < self.end:
            self.note()

    def _leap(self, to: Fraction) -> None:
        """Pass over a very long run of measures in which nothing begins."""
        following = bisect_left(self.moments, self.at)
        target = min(self.moments[following], to) if following < len(self.moments) else to
        measures = int((target - self.at) // self.length) - 1
        if measures > LONGEST_EMPTY_RUN:
            self.at += measures * self.length
            self.number += measures

    def apply(self, change: Change, opening: bool) -> None:
        match change:
            case TimeSignature():
                self.length = Fraction(change.numerator, change.denominator)
                self.beat = Fraction(1, change.denominator)
                self.signature = self.signature if self.own else None
            case MeasureLength():
                self.length = change.length
            case BeatLength():
                self.beat = change.beat
            case Signature():
                if change.own or not self.own:
                    self.signature, self.own = change.unit, change.own
            case Partial():
                if not opening:
                    self.overtaken = (change.grace, self.position)
                self.position = -change.duration if opening else self.length - change.duration
            case Cadenza():
                self.timing = not change.on
            case BarNumber():
                self.number = change.number
            case Numbering():
                self.again = change.again
            case MeasurePosition():
                self.position = change.position
            case AlternativeStart():
                self._alternative(change)

    def _alternative(self, start: AlternativeStart) -> None:
        if start.first or start.repeat not in self.kept:
            number = self.number if self.again and start.numbered else None
            self.kept[start.repeat] = _Kept(self.position, self.length, number)
            return
        kept = self.kept[start.repeat]
        if kept.number is not None:
            self.number = kept.number
        if self.timing:
            self.position, self.length = kept.position, kept.length
