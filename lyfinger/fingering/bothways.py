"""A chain searched from both its ends: what the cheapest answer costs that goes through a given state.

The search of :mod:`~lyfinger.fingering.chain` says what the cheapest way *to* each state is; here the cheapest way
*on* from it is worked out too, from the chain's end to its beginning, over the same tables. Their sum is what an
answer through that state costs at least, exactly: whoever looks for other answers need not search the whole chain
again, and can leave alone at once what costs too much in the end.
"""

from __future__ import annotations

from collections.abc import Iterator
from operator import add
from typing import NamedTuple

from .chain import ChainSearch, Line
from .coupled import Part
from .interned import Entries, Fingers, Grip, Passing
from .tables import Tables
from .ties import State

FAR = 1 << 60
"""What it costs to go where there is no way on."""


class Step(NamedTuple):
    """From one standing placing to the next: the onset that completes it, its grip, and its first onset (-1 where the
    placing before goes on)."""

    end: int
    grip: Grip
    start: int


class Doors(NamedTuple):
    """Every way to start a placing at one onset, side by side: where each is complete, with which grip, what it costs
    from there to the chain's end (``onward``, its own cost included), what that is of its own, and what the chain
    costs at least that goes this way (``through``)."""

    entries: Entries
    ends: list[int]
    grips: list[Grip]
    own: list[int]
    onward: list[int]
    entered: list[tuple[int, State | None]]
    through: list[int]


class BothWays(ChainSearch):
    """One chain. All costs are in thousandths, all places are counted from the chain's first onset.

    ``standing[p]`` holds the cheapest way to each grip that stands after onset p, ``ahead[p]`` what the cheapest way
    on from there costs; ``home`` says for each source note at which place it is played, and on which string. Raises
    ValueError where the chain allows no answer.
    """

    def __init__(self, tables: Tables, part: Part) -> None:
        super().__init__(tables, part.plucks, part.hastes, part.cuts, part.orders)
        self.part = part
        self.length = len(part.plucks)
        self.home = {
            key: (place, string)
            for place, (pluck, keys) in enumerate(zip(part.plucks, part.keys, strict=True))
            for key, string in zip(keys, pluck.strings, strict=True)
        }
        self.standing: list[dict[Grip, State]] = [{} for _ in part.plucks]
        self.doors: list[Doors] = []
        self._forward()
        best = self._best(list(self.standing[-1].values()), self.length - 1)
        if best is None:
            raise ValueError("this chain has no answer")
        self.best: Line = self._line(best)
        self.best_at = dict(_stations(best, self.length - 1))
        self.ahead: list[dict[Grip, int]] = [{} for _ in part.plucks]
        self.ahead[-1] = dict.fromkeys(self.standing[-1], 0)
        self._backward()
        self._next: dict[tuple[int, Grip], Step] = {}

    def _forward(self) -> None:
        for place in range(self.length):
            openings = self._openings(place)
            count = len(openings.entries.firsts)
            entered: list[tuple[int, State | None]] = [(0, None)] * count
            if place:
                behind = self.standing[place - 1]
                if place not in self.cuts:
                    self._go_on(place, behind, self.standing[place])
                entered = list(self._enter(place, openings, behind))
            self._open(place, openings, iter(entered), self.standing)
            early = self._early(place, openings.ways[-1][0]) if openings.ways else []
            doors = Doors(openings.entries, [], [], [], [], entered, [])
            for onsets, grips, costs in openings.ways:
                doors.ends.extend([place + onsets - 1] * len(grips))
                doors.grips.extend(grips)
                doors.own.extend([own + early[onsets - 1] for own in costs])
            self.doors.append(doors)

    def _backward(self) -> None:
        for place in range(self.length - 1, -1, -1):
            doors, ahead = self.doors[place], self.ahead
            doors.onward.extend(
                [
                    own + ahead[end].get(grip, FAR)
                    for own, end, grip in zip(doors.own, doors.ends, doors.grips, strict=True)
                ]
            )
            doors.through.extend([cost + on for (cost, _), on in zip(doors.entered, doors.onward, strict=False)])
            if place:
                self.ahead[place - 1] = self._ahead(place, doors)

    def _ahead(self, place: int, doors: Doors) -> dict[Grip, int]:
        """What is to come after the onset before a place, for every grip that may stand there."""
        strings, ahead = self.plucks[place - 1].strings, self.ahead[place]
        known: dict[object, int] = {}
        found: dict[Grip, int] = {}
        for grip in self.standing[place - 1]:
            end = self.tables.end(grip, strings)
            cost = known.get(end)
            if cost is None:
                row = self.row(place, grip)
                cost = known[end] = min(map(add, row, doors.onward), default=FAR)
            step = self.goes_on(place, grip)
            if step >= 0:
                cost = min(cost, step + ahead.get(grip, FAR))
            found[grip] = cost
        return found

    def row(self, place: int, grip: Grip) -> list[int]:
        """What it costs to pass from a grip to each placing that may start at a place."""
        end = self.tables.end(grip, self.plucks[place - 1].strings)
        return self.tables.row(self.doors[place].entries, self._passing(place), end)

    def _passing(self, place: int) -> Passing:
        """What passes to the onset at a place from the one before it."""
        return self.tables.passing(self.plucks[place - 1], self.plucks[place], self.hastes[place - 1])

    def goes_on(self, place: int, grip: Grip) -> int:
        """What it costs to play the onset at a place in the placing that stands before it; -1 where it can't be."""
        before, pluck = self.plucks[place - 1], self.plucks[place]
        if place in self.cuts or pluck.strings[0] not in grip.of:
            return -1
        passing = self._passing(place)
        known = self.tables.going_on(before, pluck, passing)
        step = known.get(grip)
        if step is None:
            step = known[grip] = self.tables.goes_on(grip, before, pluck, passing)
        return step

    def next(self, place: int, grip: Grip) -> Step:
        """The step after a place on the cheapest way on; of equal costs on the one that reads first."""
        waiting = [(place, grip)]
        while waiting:
            station = waiting[-1]
            if station in self._next:
                waiting.pop()
                continue
            steps = self._cheapest(*station)
            open_ends = [
                step[:2] for step in steps if step.end < self.length - 1 and (step.end, step.grip) not in self._next
            ]
            waiting += open_ends
            if not open_ends:
                first = steps[0]
                for step in steps[1:]:
                    first = self._first_read(station[0], first, step)
                self._next[station] = first
        return self._next[place, grip]

    def _cheapest(self, place: int, grip: Grip) -> list[Step]:
        cost, after = self.ahead[place][grip], place + 1
        doors = self.doors[after]
        row = self.row(after, grip)
        steps = [
            Step(doors.ends[number], doors.grips[number], after)
            for number, (step, onward) in enumerate(zip(row, doors.onward, strict=True))
            if step + onward == cost
        ]
        go_on = self.goes_on(after, grip)
        if go_on >= 0 and go_on + self.ahead[after].get(grip, FAR) == cost:
            steps.append(Step(after, grip, -1))
        return steps

    def _first_read(self, place: int, one: Step, two: Step) -> Step:
        """Which of two steps after a place leads to what reads first."""
        mine, other = one, two
        played, others = list(self._played(place, one)), list(self._played(place, two))
        while (mine.end != other.end or mine.grip is not other.grip) and min(mine.end, other.end) < self.length - 1:
            if mine.end <= other.end:
                at, mine = mine.end, self._next[mine.end, mine.grip]
                played += self._played(at, mine)
            else:
                at, other = other.end, self._next[other.end, other.grip]
                others += self._played(at, other)
        return one if self.reads_first(place + 1, played, others) else two

    def _played(self, place: int, step: Step) -> Iterator[tuple[Fingers, bool]]:
        """For each onset after a place that a step plays: its fingers, and whether a placing starts with it."""
        of = step.grip.of
        for index in range(place + 1, step.end + 1):
            yield tuple([of[string] for string in self.plucks[index].strings]), index == step.start

    def reads_first(self, place: int, played: list[tuple[Fingers, bool]], others: list[tuple[Fingers, bool]]) -> bool:
        """Whether the one of two ways to play the onsets from a place on reads before the other, or is the same."""
        first: tuple[int, int] | None = None
        smaller = True
        for index, ((fingers, _), (those, _)) in enumerate(zip(played, others, strict=True), place):
            if fingers != those:
                for order, finger, other in zip(self.part.orders[index], fingers, those, strict=True):
                    if finger != other and (first is None or (order, index) < first):
                        first, smaller = (order, index), finger < other
        if first is not None:
            return smaller
        differ = [not starts for (_, starts), (_, other) in zip(played, others, strict=True) if starts != other]
        return not differ or differ[0]

    def way(self, state: State, place: int) -> tuple[int, int, list[tuple[Fingers, bool]]]:
        """The cheapest answer that goes through a state after a place, as far as it is not the best one: from which
        onset, up to which, and how each of these is played."""
        back: list[tuple[Fingers, bool]] = []
        at: State | None = state
        index = place
        while at is not None and self.best_at.get(index) is not at:
            of = at.grip.of
            for onset in range(index, at.since - 1, -1):
                back.append((tuple([of[string] for string in self.plucks[onset].strings]), onset == at.start))
            index, at = at.since - 1, at.before
        first = index + 1
        back.reverse()
        grip = state.grip
        while place < self.length - 1 and not self._is_best(place, grip):
            step = self.next(place, grip)
            back += self._played(place, step)
            place, grip = step.end, step.grip
        return first, place + 1, back

    def _is_best(self, place: int, grip: Grip) -> bool:
        best = self.best_at.get(place)
        return best is not None and best.grip is grip

    def line(self, first: int, end: int, played: list[tuple[Fingers, bool]], cost: int) -> Line:
        """The best line, but played as given from one onset up to another."""
        best = self.best
        fingers = best.fingers[:first] + tuple([fingers for fingers, _ in played]) + best.fingers[end:]
        starts = [start for start in best.starts if start < first]
        starts += [index for index, (_, starts_here) in enumerate(played, first) if starts_here]
        starts += [start for start in best.starts if start >= end]
        return Line(fingers, tuple(starts), cost)


def _stations(state: State | None, place: int) -> Iterator[tuple[int, State]]:
    """The states on the way to one, each with the onset after which it stands."""
    while state is not None:
        yield place, state
        place, state = state.since - 1, state.before
