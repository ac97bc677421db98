"""From a course to the problem of each foot: what each moment asks of the pedals, in plain numbers."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Container, Iterable, Sequence
from functools import cached_property
from itertools import accumulate, repeat

from ..harp.feet import PedalSettings
from .course import Course
from .letters import neighbours
from .problem import Problem, Stop
from .settings import BUSY_MS


class Frame:
    """What both feet's problems have in common; worked out where it is asked for."""

    def __init__(self, course: Course) -> None:
        self.course = course

    @cached_property
    def hops(self) -> list[tuple[int, int, int]]:
        """The hops with their time (ms)."""
        return [(hop.before, hop.after, self.course.passing(hop)) for hop in self.course.hops]

    @cached_property
    def clock(self) -> list[int]:
        """Where each moment stands in printed time (ms), its repeats played as they are printed."""
        course, numbers = self.course, range(1, len(self.course.moments))
        return list(accumulate([course.milliseconds(number - 1, number) for number in numbers], initial=0))

    @cached_property
    def moving(self) -> frozenset[int]:
        """The letters whose pedals there is anything to decide or to say about: all, where the music falls apart into
        stretches between which nothing leads."""
        linked = {max(hop.before, hop.after) for hop in self.course.hops if hop.before != hop.after}
        whole = len(linked) >= len(self.course.moments) - 1
        return self.course.moving if whole else frozenset(range(7))

    def still(self, step: int) -> int:
        """How the pedal of a letter that does not move stands."""
        asked = (values[step][0] for values in self._asked if step in values)
        return next(asked, self.course.key[step])

    def problem(self, pedals: Sequence[int], settings: PedalSettings, unprintable: Container[int] = ()) -> Problem:
        """The problem of one foot; ``pedals`` are its steps, ``unprintable`` moments where no mark may stand."""
        choices = zip(*[self._choices(step) for step in pedals], strict=True) if pedals else repeat(())
        needs = zip(*[self._needs(step) for step in pedals], strict=True) if pedals else repeat(())
        stops = []
        for number, (moment, choice, need) in enumerate(zip(self.course.moments, choices, needs, strict=False)):
            stops.append(
                Stop(
                    choices=choice,
                    plucked=_places(pedals, self._asked[number]),
                    under=_places(pedals, moment.under),
                    marked=_places(pedals, moment.tells),
                    ended=tuple([moment.ended.get(step) for step in pedals]),
                    need=need,
                    busy=self._busy[number],
                    offbeat=self._offbeat[number],
                    printable=bool(moment.anchors) and not moment.time[1] and number not in unprintable,
                    resting=not moment.plucks and not moment.wanted,
                    shown=moment.diagram and not moment.opening,
                )
            )
        pairs = frozenset(
            frozenset((one, other))
            for one in range(len(pedals))
            for other in range(one)
            if settings.neighbours and neighbours(pedals[one], pedals[other])
        )
        outs = [later - now for now, later in zip(self.clock, [*self.clock[1:], self.clock[-1] + 2000], strict=True)]
        return Problem(tuple(stops), tuple(self.hops), pairs, tuple(outs))

    def _choices(self, step: int) -> list[tuple[int, ...]]:
        """What a letter may be from each moment on: as plucked or marked there, else as where it was last or will be
        next, on any way that is played.

        Another alteration is never of use: to stay as before costs no more.
        """
        given = []
        for moment, asked in zip(self.course.moments, self._asked, strict=True):
            given.append(_bits((moment.marked[step],) if step in moment.marked else asked.get(step, ())))
        spread = self._spread(given)
        known = {bits: _alterations(bits) or (self.course.key[step],) for bits in set(spread)}
        return [known[bits] for bits in spread]

    def _spread(self, given: Sequence[int]) -> list[int]:
        """Each moment's own values, else those of all that it is joined to by hops without a value of their own. Sets
        of values are the bits of a number."""
        values = list(given)
        changed = True
        while changed:
            changed = False
            for source, target in self._links:
                if not given[target] and values[source] | values[target] != values[target]:
                    values[target] |= values[source]
                    changed = True
        return values

    @cached_property
    def _links(self) -> list[tuple[int, int]]:
        """The hops in both directions, in printed order and back."""
        links = [(first, second) for first, second, _ in sorted(self.hops, key=lambda hop: (hop[1], hop[0]))]
        return [*links, *((second, first) for first, second in reversed(links))]

    def _needs(self, step: int) -> list[int | None]:
        """Milliseconds from each moment to the next at which a letter is plucked, itself included."""
        found: list[int | None] = []
        due: int | None = None
        for number in range(len(self.course.moments) - 1, -1, -1):
            if step in self._asked[number]:
                due = self.clock[number]
            found.append(None if due is None else due - self.clock[number])
        return found[::-1]

    @cached_property
    def _asked(self) -> list[dict[int, list[int]]]:
        """For each moment the letters that it needs, with their alterations."""
        return [
            {step: moment.alterations(step) for step in (*moment.plucks, *moment.wanted)}
            for moment in self.course.moments
        ]

    @cached_property
    def _busy(self) -> list[int]:
        """How many notes are plucked within ``BUSY_MS`` of each moment."""
        counts = [sum(len(notes) for notes in moment.plucks.values()) for moment in self.course.moments]
        sums = [0]
        for count in counts:
            sums.append(sums[-1] + count)
        return [
            sums[bisect_right(self.clock, at + BUSY_MS)] - sums[bisect_left(self.clock, at - BUSY_MS)]
            for at in self.clock
        ]

    @cached_property
    def _offbeat(self) -> list[bool]:
        """Whether each moment is between two beats."""
        score = self.course.score
        times = [moment.time[0] for moment in self.course.moments]
        if not score.bars:
            return [False] * len(times)
        bars = score.bars_of(self.course.staff)
        at = score.grid.at
        starts = [at(bar.start) for bar in bars]
        found = []
        for now in map(at, times):
            number = max(bisect_right(starts, now) - 1, 0)
            bar = bars[number]
            position = at(bar.position) + (0 if bar.still else now - starts[number])
            found.append(position % at(bar.beat) != 0)
        return found


def _places(pedals: Sequence[int], steps: Container[int]) -> frozenset[int]:
    """Which of the pedals (indices) are those of some letters."""
    return frozenset([at for at, step in enumerate(pedals) if step in steps]) if steps else _NONE


_NONE: frozenset[int] = frozenset()
_FLATTEST = -4
"""No key signature has a letter altered by as many semitones."""


def _bits(alterations: Iterable[int]) -> int:
    """A set of alterations as the bits of a number."""
    found = 0
    for alteration in alterations:
        found |= 1 << alteration - _FLATTEST
    return found


def _alterations(bits: int) -> tuple[int, ...]:
    """The alterations in a set, lowest first."""
    return tuple([_FLATTEST + place for place in range(bits.bit_length()) if bits >> place & 1])
