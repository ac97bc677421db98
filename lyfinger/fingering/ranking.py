"""The cheapest fingerings of a few notes of one chain, in exact order: only what is in reach of the list is looked at.

What an answer costs that goes through a state is known (:mod:`~lyfinger.fingering.bothways`). So the placings that
touch the figure are gone through once, from left to right, and a state is carried on for each different fingering of
the figure's notes that leads to it, if what it costs in the end is within a limit. Of two states with one grip after
one onset all that is to come is the same; so of more fingerings than are wanted the first ones are enough. The limit
is raised until there are enough answers within it: they are then the cheapest ones, ties included.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cmp_to_key
from operator import add
from typing import NamedTuple

from .bothways import FAR, BothWays
from .chain import Line
from .interned import Fingers, Grip
from .ledger import Digits
from .ties import State, Ties

_FIRST_LIMIT = 2_000
"""How much more than the best answer, in thousandths, the others may cost at the first try."""

_RAISE = 3

_LAST_LIMIT = FAR >> 8

_Digits = Fingers
_Standing = dict[Grip, dict[_Digits, State]]


class _Way(NamedTuple):
    """An answer as far as it is not the best one: its cost, from which onset, up to which, and how they are played."""

    cost: int
    first: int
    end: int
    played: list[tuple[Fingers, bool]]


class Ranking:
    """The fingerings of the notes ``keys``, none of them locked, of a chain in which no note occurs twice."""

    def __init__(self, chain: BothWays, keys: Sequence[int]) -> None:
        self._chain = chain
        homes = sorted(chain.home[key] for key in keys)
        self._first, self._last = homes[0][0], homes[-1][0]
        self._strings: dict[int, tuple[int, ...]] = {}
        for place, string in homes:
            self._strings[place] = (*self._strings.get(place, ()), string)
        self._reads_before = Ties(chain.plucks, chain.part.orders).reads_before
        self._count = 0

    def listed(self, count: int, answer: Digits) -> list[Line]:
        """The ``count`` cheapest answers of which no two finger the figure alike, nor as ``answer`` (the fingers of
        each onset) does; of equal costs in reading order."""
        self._count = 1 + min(count, self._possible(count) - 1)
        known = self._digits_of(answer)
        limit = _FIRST_LIMIT
        found = self._within(self._chain.best.cost + limit)
        while len(found) < self._count and limit < _LAST_LIMIT:
            limit *= _RAISE
            found = self._within(self._chain.best.cost + limit)
        ways = [way for digits, way in found.items() if digits != known]
        return [self._chain.line(way.first, way.end, way.played, way.cost) for way in self._in_order(ways)[:count]]

    def _possible(self, count: int) -> int:
        """How many fingerings of the figure there are; it need not be known beyond ``count`` and one more.

        Any onset can be placed alone, so those of its notes that are allowed go with all others.
        """
        possible = 1
        for place, strings in self._strings.items():
            pluck = self._chain.plucks[place]
            numbers = [pluck.strings.index(string) for string in strings]
            possible *= len({tuple([fingers[number] for number in numbers]) for fingers in pluck.allowed})
            if possible > count:
                break
        return possible

    def _digits_of(self, fingers: Digits) -> tuple[int | None, ...]:
        return tuple(
            fingers[place][self._chain.plucks[place].strings.index(string)]
            for place, strings in self._strings.items()
            for string in strings
        )

    def _within(self, limit: int) -> dict[_Digits, _Way]:
        """The best answer for each fingering of the figure that has one within a limit."""
        standing: dict[int, _Standing] = {}
        self._begin(standing, limit)
        for place in range(self._first, self._last):
            here = standing.pop(place, None)
            if here is not None:
                for grip, states in here.items():
                    self._carry_on(place, grip, self._foremost(states, place), standing, limit)
        return self._ended(standing)

    def _begin(self, standing: dict[int, _Standing], limit: int) -> None:
        """The placings that touch the figure first."""
        chain, first = self._chain, self._first
        for place in range(max(0, first + 1 - chain.tables.settings.sight), first + 1):
            doors = chain.doors[place]
            if not doors.ends or doors.ends[-1] < first:
                continue
            for number, through in enumerate(doors.through):
                if through <= limit and doors.ends[number] >= first:
                    cost, before = doors.entered[number]
                    grip, end = doors.grips[number], doors.ends[number]
                    state = State(cost + doors.own[number], grip, place, place, before)
                    self._keep(standing, end, self._taken(grip, first, end), state)
        if first:
            for grip, behind in chain.standing[first - 1].items():
                step = chain.goes_on(first, grip)
                if step >= 0 and behind.cost + step + chain.ahead[first].get(grip, FAR) <= limit:
                    state = State(behind.cost + step, grip, behind.start, first, behind)
                    self._keep(standing, first, self._taken(grip, first, first), state)

    def _carry_on(
        self, place: int, grip: Grip, states: list[tuple[_Digits, State]], standing: dict[int, _Standing], limit: int
    ) -> None:
        """From a grip that stands after an onset to all that may come after it."""
        chain, after = self._chain, place + 1
        doors, row = chain.doors[after], chain.row(after, grip)
        left = limit - min(state.cost for _, state in states)
        steps = [number for number, cost in enumerate(map(add, row, doors.onward)) if cost <= left]
        for digits, state in states:
            for number in steps:
                if state.cost + row[number] + doors.onward[number] <= limit:
                    cost = state.cost + row[number] + doors.own[number]
                    taken, end = doors.grips[number], doors.ends[number]
                    self._keep(
                        standing, end, digits + self._taken(taken, after, end), State(cost, taken, after, after, state)
                    )
        step = chain.goes_on(after, grip)
        if step < 0:
            return
        ahead = step + chain.ahead[after].get(grip, FAR)
        for digits, state in states:
            if state.cost + ahead <= limit:
                new = State(state.cost + step, grip, state.start, after, state)
                self._keep(standing, after, digits + self._taken(grip, after, after), new)

    def _taken(self, grip: Grip, first: int, end: int) -> _Digits:
        """The digits that a grip gives to notes of the figure."""
        of, strings = grip.of, self._strings
        return tuple([of[string] for place in range(first, end + 1) for string in strings.get(place, ())])

    def _keep(self, standing: dict[int, _Standing], end: int, digits: _Digits, new: State) -> None:
        states = standing.setdefault(end, {}).setdefault(new.grip, {})
        old = states.get(digits)
        if old is None or new.cost < old.cost or (new.cost == old.cost and self._reads_before(new, old, end)):
            states[digits] = new

    def _foremost(self, states: dict[_Digits, State], place: int) -> list[tuple[_Digits, State]]:
        """As many of the fingerings that lead to a grip as may be listed."""
        if len(states) <= self._count:
            return list(states.items())

        def compared(one: tuple[_Digits, State], two: tuple[_Digits, State]) -> int:
            if one[1].cost != two[1].cost:
                return one[1].cost - two[1].cost
            return -1 if self._reads_before(one[1], two[1], place) else 1

        return sorted(states.items(), key=cmp_to_key(compared))[: self._count]

    def _ended(self, standing: dict[int, _Standing]) -> dict[_Digits, _Way]:
        """For each fingering the best way on to the chain's end."""
        chain = self._chain
        least: dict[_Digits, int] = {}
        for digits, _, state, place in _each(standing):
            cost = state.cost + chain.ahead[place][state.grip]
            least[digits] = min(cost, least.get(digits, cost))
        dearest = sorted(least.values())[: self._count][-1] if least else 0
        found: dict[_Digits, _Way] = {}
        for digits, grip, state, place in _each(standing):
            cost = state.cost + chain.ahead[place][grip]
            if cost == least[digits] <= dearest:
                way = _Way(cost, *chain.way(state, place))
                if digits not in found or self._reads_first(way, found[digits]):
                    found[digits] = way
        return found

    def _reads_first(self, one: _Way, two: _Way) -> bool:
        first, end = min(one.first, two.first), max(one.end, two.end)
        return self._chain.reads_first(first, self._over(one, first, end), self._over(two, first, end))

    def _over(self, way: _Way, first: int, end: int) -> list[tuple[Fingers, bool]]:
        """How the onsets of a stretch are played that an answer differs from the best one in at most."""
        best = self._chain.best
        starts = set(best.starts)
        before = [(best.fingers[index], index in starts) for index in range(first, way.first)]
        return before + way.played + [(best.fingers[index], index in starts) for index in range(way.end, end)]

    def _in_order(self, ways: list[_Way]) -> list[_Way]:
        """Cheapest first; of equal costs what reads first."""

        def compared(one: _Way, two: _Way) -> int:
            return one.cost - two.cost or (-1 if self._reads_first(one, two) else 1)

        return sorted(ways, key=cmp_to_key(compared))


def _each(standing: dict[int, _Standing]) -> Iterator[tuple[_Digits, Grip, State, int]]:
    for place, here in standing.items():
        for grip, fingerings in here.items():
            for digits, state in fingerings.items():
                yield digits, grip, state, place
