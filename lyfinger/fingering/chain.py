"""The exact search over one chain: dynamic programming over every cut into placings and every shape.

A *state* is a placing that stands after an onset: its grip, all of whose strings have sounded. From one onset to the
next a state goes on in its placing, or a new placing opens; :class:`~lyfinger.fingering.tables.Openings` lead to the
onset that completes the new shape. Nothing that costs depends on anything older than the grip and the last onset, so
the cheapest way into each state is enough. The number of states at an onset is that of the shapes that end there,
whatever the length of the chain.

Of equal costs the way that reads first is kept: see :mod:`~lyfinger.fingering.ties`.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import repeat
from operator import attrgetter
from typing import NamedTuple

from .interned import Fingers, Grip, Openings, Pluck
from .tables import Tables
from .ties import State, Ties
from .views import RECENT


class Line(NamedTuple):
    """The cheapest answer for a chain: fingers of each onset, positions where placings start, and its cost."""

    fingers: tuple[Fingers, ...]
    starts: tuple[int, ...]
    cost: int


class ChainSearch:
    """One search. ``orders`` are the reading orders of the notes, parallel to each onset's strings."""

    def __init__(
        self,
        tables: Tables,
        plucks: Sequence[Pluck],
        hastes: Sequence[int],
        cuts: frozenset[int],
        orders: Sequence[tuple[int, ...]],
    ) -> None:
        self.tables = tables
        self.plucks = tuple(plucks)
        self.hastes = tuple(hastes)
        self.cuts = cuts
        steps = zip(self.plucks, self.plucks[1:], self.hastes, strict=False)
        self._passings = [tables.passing(*step) for step in steps]
        self._reads_before = Ties(self.plucks, orders).reads_before
        self._struck: dict[int, list[int]] = {}
        for place, pluck in enumerate(self.plucks):
            for string in pluck.strings:
                self._struck.setdefault(string, []).append(place)

    def solve(self) -> Line | None:
        """The cheapest answer; None if the plucks allow none."""
        length = len(self.plucks)
        standing: list[dict[Grip, State]] = [{} for _ in range(length)]
        for place in range(length):
            openings = self._openings(place)
            if place:
                behind = standing[place - 1]
                standing[place - 1] = _SPENT
                if place not in self.cuts:
                    self._go_on(place, behind, standing[place])
                self._open(place, openings, self._enter(place, openings, behind), standing)
            else:
                self._open(place, openings, repeat((0, None)), standing)
        best = self._best(list(standing[-1].values()), length - 1)
        return None if best is None else self._line(best)

    def _openings(self, place: int) -> Openings:
        """The openings at a place: as far as four strings, the sight of the player and the cuts allow."""
        plucks, cuts = self.plucks, self.cuts
        strings = set(plucks[place].strings)
        end = complete = place + 1
        limit = min(len(plucks), place + self.tables.settings.sight)
        while end < limit and end not in cuts:
            if not strings.issuperset(plucks[end].strings):
                strings.update(plucks[end].strings)
                if len(strings) > 4:
                    break
                complete = end + 1
            end += 1
        return self.tables.openings(plucks[place:complete], tuple(self._passings[place : complete - 1]))

    def _go_on(self, place: int, behind: dict[Grip, State], here: dict[Grip, State]) -> None:
        before, pluck, passing = self.plucks[place - 1], self.plucks[place], self._passings[place - 1]
        known, string = self.tables.going_on(before, pluck, passing), pluck.strings[0]
        for grip, state in behind.items():
            if string not in grip.of:
                continue
            step = known.get(grip)
            if step is None:
                step = known[grip] = self.tables.goes_on(grip, before, pluck, passing)
            if step < 0:
                continue
            cost, old = state.cost + step, here.get(grip)
            if old is None or cost < old.cost:
                here[grip] = State(cost, grip, state.start, place, state)
            elif cost == old.cost:
                self._keep(here, State(cost, grip, state.start, place, state), old, place)

    def _enter(self, place: int, openings: Openings, behind: dict[Grip, State]) -> Iterator[tuple[int, State | None]]:
        """For each entry the cheapest state behind it. States that are too dear to help are passed over."""
        entries = openings.entries
        if not behind or not entries.firsts:
            return iter(())
        states = sorted(behind.values(), key=_cost)
        tables, strings = self.tables, self.plucks[place - 1].strings
        passing = self._passings[place - 1]
        first = states[0]
        so_far = first.cost
        costs = [so_far + step for step in tables.row(entries, passing, tables.end(first.grip, strings))]
        best: list[State] = [first] * len(costs)
        dearest = max(costs)
        dearest_by: list[tuple[int, int]] = []  # worked out where a state comes near
        known = passing.shifts
        spent: set[Fingers] = set()
        ways = len(self.plucks[place - 1].allowed)
        for state in states[1:]:
            so_far = state.cost
            if so_far > dearest:
                break
            end = state.grip.ends.get(strings) or tables.end(state.grip, strings)
            held = end.held
            if held in spent:
                continue
            shifts = known.get(held) or tables.shifts(passing, held)
            if not dearest_by:
                dearest_by = entries.dearest(costs)
            for number, dear in dearest_by:
                if so_far + shifts[number] <= dear:
                    break
            else:  # nor does any dearer state help that comes with these fingers
                spent.add(held)
                if len(spent) == ways:
                    break
                continue
            if self._improve(costs, best, state, tables.row(entries, passing, end), place - 1):
                dearest, dearest_by = max(costs), []
        return zip(costs, best, strict=True)

    def _improve(
        self, costs: list[int], best: list[State], state: State, steps: list[int], end: int
    ) -> bool:  # fmt: skip
        """Let a state take the entries that it leads to more cheaply, or as cheaply and read first; whether one is
        cheaper now."""
        so_far, cheaper = state.cost, False
        ties: dict[State, bool] = {}
        for entry, step in enumerate(steps):
            cost = so_far + step
            if cost < costs[entry]:
                costs[entry], best[entry], cheaper = cost, state, True
            elif cost == costs[entry]:
                rival = best[entry]
                if rival not in ties:
                    ties[rival] = self._reads_before(state, rival, end)
                if ties[rival]:
                    best[entry] = state
        return cheaper

    def _open(
        self,
        place: int,
        openings: Openings,
        entered: Iterator[tuple[int, State | None]],
        standing: list[dict[Grip, State]],
    ) -> None:
        if not openings.ways:
            return
        early = self._early(place, openings.ways[-1][0])
        for onsets, grips, costs in openings.ways:
            end = place + onsets - 1
            here, more = standing[end], early[onsets - 1]
            for grip, own, (so_far, before) in zip(grips, costs, entered):  # noqa: B905
                cost = so_far + own + more
                old = here.get(grip)
                if old is None or cost < old.cost:
                    here[grip] = State(cost, grip, place, place, before)
                elif cost == old.cost:
                    self._keep(here, State(cost, grip, place, place, before), old, end)

    def _early(self, place: int, onsets: int) -> list[int]:
        """For each number of onsets (1 first) what it costs that a placing sets strings that have just sounded.

        It hangs on what is played alone, not on how the hand came here.
        """
        costs = [0] * onsets
        if onsets == 1 or not place:
            return costs
        cost = 0
        set_already = set(self.plucks[place].strings)
        for more in range(1, onsets):
            for string in self.plucks[place + more].strings:
                if string not in set_already:
                    set_already.add(string)
                    cost += self._set_early(string, place)
            costs[more] = cost
        return costs

    def _set_early(self, string: int, place: int) -> int:
        """What it costs to set a string at a place before it is played: nothing if it has not just sounded."""
        struck = self._struck[string]
        before = bisect_left(struck, place) - 1
        ago = place - struck[before] if before >= 0 else RECENT + 1
        if ago > RECENT:
            return 0
        return self.tables.early(string, ago, min(self.hastes[place - ago : place]))

    def _keep(self, states: dict[Grip, State], new: State, old: State | None, end: int) -> None:
        """Let a state stand in place of the one with its grip, unless that one costs less or reads first."""
        if old is None or new.cost < old.cost or (new.cost == old.cost and self._reads_before(new, old, end)):
            states[new.grip] = new

    def _best(self, states: list[State], end: int) -> State | None:
        best: State | None = None
        for state in states:
            if best is None or state.cost < best.cost:
                best = state
                continue
            if state.cost == best.cost and self._reads_before(state, best, end):
                best = state
        return best

    def _line(self, best: State) -> Line:
        fingers: list[Fingers] = []
        starts: list[int] = []
        state: State | None = best
        place = len(self.plucks) - 1
        while state is not None:
            if state.since == state.start:
                starts.append(state.start)
            of = state.grip.of
            for index in range(place, state.since - 1, -1):
                fingers.append(tuple([of[string] for string in self.plucks[index].strings]))
            place, state = state.since - 1, state.before
        return Line(tuple(reversed(fingers)), tuple(reversed(starts)), best.cost)


_SPENT: dict[Grip, State] = {}

_cost = attrgetter("cost")
