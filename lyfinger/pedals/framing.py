"""From a course to the problem of each foot: what each moment asks of the pedals, in plain numbers."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Container, Sequence
from dataclasses import dataclass
from functools import cached_property

from ..harp.feet import PedalSettings
from ..score.performing import Hop
from .course import Course
from .letters import neighbours
from .problem import Problem, Stop
from .settings import BUSY_MS


@dataclass(eq=False)
class Frame:
    """What both feet's problems have in common: the hops with their time, and where printed time stands (ms)."""

    course: Course
    hops: list[tuple[int, int, int]]
    clock: list[int]

    def problem(self, pedals: Sequence[int], settings: PedalSettings, unprintable: Container[int] = ()) -> Problem:
        """The problem of one foot; ``pedals`` are its steps, ``unprintable`` moments where no mark may stand."""
        choices = [self._choices(step) for step in pedals]
        needs = [self._needs(step) for step in pedals]
        stops = []
        for number, moment in enumerate(self.course.moments):
            tells, asked = moment.tells, self._asked[number]
            stops.append(
                Stop(
                    choices=tuple(choice[number] for choice in choices),
                    plucked=frozenset(at for at, step in enumerate(pedals) if step in asked),
                    under=frozenset(at for at, step in enumerate(pedals) if step in moment.under),
                    marked=frozenset(at for at, step in enumerate(pedals) if step in tells),
                    ended=tuple(None if step not in moment.ended else int(moment.ended[step]) for step in pedals),
                    need=tuple(need[number] for need in needs),
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
        given: list[frozenset[int]] = []
        for moment, asked in zip(self.course.moments, self._asked, strict=True):
            given.append(frozenset((moment.marked[step],) if step in moment.marked else asked.get(step, ())))
        key = (self.course.key[step],)
        return [tuple(sorted(values or key)) for values in self._spread(given)]

    def _spread(self, given: Sequence[frozenset[int]]) -> list[frozenset[int]]:
        """Each moment's own values, else those of all that it is joined to by hops without a value of their own."""
        values = list(given)
        links = [(first, second) for first, second, _ in sorted(self.hops, key=lambda hop: (hop[1], hop[0]))]
        back = [(second, first) for first, second in reversed(links)]
        changed = True
        while changed:
            changed = False
            for source, target in (*links, *back):
                if not given[target] and not values[source] <= values[target]:
                    values[target] = values[target] | values[source]
                    changed = True
        return values

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
        score, staff = self.course.score, self.course.staff
        times = (moment.time[0] for moment in self.course.moments)
        return [bool(score.bars) and score.beat_at(time, staff).denominator != 1 for time in times]


def frame_of(course: Course) -> Frame:
    """The frame of a course, its repeats played as they are printed."""
    found = [(hop.before, hop.after, _milliseconds(course, hop)) for hop in course.hops]
    clock = [0] * len(course.moments)
    for number in range(1, len(clock)):
        clock[number] = clock[number - 1] + int(course.milliseconds(number - 1, number))
    return Frame(course, found, clock)


def _milliseconds(course: Course, hop: Hop) -> int:
    return int(sum(course.pace.milliseconds(start, end) for start, end in hop.spans))
