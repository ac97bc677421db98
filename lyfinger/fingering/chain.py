"""The exact search over one chain: dynamic programming over every cut into placings and every shape.

A *state* is a placing that stands after an onset: its grip, all of whose strings have sounded. From one onset to the
next a state goes on in its placing, or a new placing opens; :class:`~lyfinger.fingering.tables.Openings` lead to the
onset that completes the new shape. Nothing that costs depends on anything older than the grip and the last onset, so
the cheapest way into each state is enough. The number of states at an onset is that of the shapes that end there,
whatever the length of the chain.

Of equal costs the smaller digit sequence in reading order is kept; of equal digits the one that goes on longer in its
placings. Two ways into one state have the same future, so comparing what lies behind them is exact: the two are
walked back to where they part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lyfinger.fingering.tables import Fingers, Grip, Openings, Pluck, Tables
from lyfinger.fingering.views import RECENT

_NONE: frozenset[int] = frozenset()


class State:
    """A placing from ``start`` on, the state before it, and the cost of everything up to here."""

    __slots__ = ("before", "cost", "grip", "start")

    def __init__(self, cost: int, grip: Grip, start: int, before: State | None) -> None:
        self.cost = cost
        self.grip = grip
        self.start = start
        self.before = before


@dataclass(frozen=True, slots=True)
class Line:
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
        self.orders = orders

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
                self._open(place, openings, [(0, None)] * len(openings.entries.each), standing)
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
        return self.tables.openings(plucks[place:complete], self.hastes[place : complete - 1])

    def _go_on(self, place: int, behind: dict[Grip, State], here: dict[Grip, State]) -> None:
        before, pluck, haste = self.plucks[place - 1], self.plucks[place], self.hastes[place - 1]
        going_on, string = self.tables.going_on, pluck.strings[0]
        for grip, state in behind.items():
            if string not in grip.of:
                continue
            cost = going_on(grip, before, pluck, haste)
            if cost >= 0:
                self._keep(here, State(state.cost + cost, grip, state.start, state.before), place)

    def _enter(
        self, place: int, openings: Openings, behind: dict[Grip, State]
    ) -> list[tuple[int, State | None]]:  # fmt: skip
        """For each entry the cheapest state behind it. Dearer states are passed over once none can help."""
        if not behind or not openings.ways:
            return []
        states = sorted(behind.values(), key=_cost)
        tables, strings, entries = self.tables, self.plucks[place - 1].strings, openings.entries
        passing = tables.passing(self.plucks[place - 1], self.plucks[place], self.hastes[place - 1])
        first = states[0]
        costs = [first.cost + step for step in tables.row(entries, passing, first.grip.end(strings))]
        best: list[State] = [first] * len(costs)
        dearest = max(costs)
        for state in states[1:]:
            if state.cost > dearest:
                break
            for entry, step in enumerate(tables.row(entries, passing, state.grip.end(strings))):
                cost = state.cost + step
                if cost < costs[entry]:
                    costs[entry], best[entry] = cost, state
                elif cost == costs[entry] and self._reads_before(state, best[entry], place - 1):
                    best[entry] = state
        return list(zip(costs, best, strict=True))

    def _open(
        self,
        place: int,
        openings: Openings,
        entered: list[tuple[int, State | None]],
        standing: list[dict[Grip, State]],
    ) -> None:
        if not entered:
            return
        early = self._early(place, openings.ways[-1][0]) if openings.ways else []
        for onsets, entry, grip, cost in openings.ways:
            so_far, before = entered[entry]
            end = place + onsets - 1
            self._keep(standing[end], State(so_far + cost + early[onsets - 1], grip, place, before), end)

    def _early(self, place: int, onsets: int) -> list[int]:
        """For each number of onsets (1 first) what it costs that a placing sets strings that have just sounded.

        It hangs on what is played alone, not on how the hand came here.
        """
        costs = [0] * onsets
        recent = self._recent(place)
        set_already = set(self.plucks[place].strings)
        for more in range(1, onsets):
            costs[more] = costs[more - 1]
            for string in self.plucks[place + more].strings:
                if string in recent and string not in set_already:
                    costs[more] += self.tables.early(string, *recent[string])
                set_already.add(string)
        return costs

    def _recent(self, place: int) -> dict[int, tuple[int, int]]:
        """The strings that have sounded just before a place: how many onsets ago, and the least haste since."""
        recent: dict[int, tuple[int, int]] = {}
        haste = 1000
        for ago in range(1, min(place, RECENT) + 1):
            haste = min(haste, self.hastes[place - ago])
            for string in self.plucks[place - ago].strings:
                recent.setdefault(string, (ago, haste))
        return recent

    def _keep(self, states: dict[Grip, State], new: State, end: int) -> None:
        old = states.get(new.grip)
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

    def _reads_before(self, state: State, other: State, end: int) -> bool:
        """Whether the digits up to ``end`` on the way to ``state`` come before those on the way to ``other``."""
        least: tuple[int, int] | None = None
        smaller = goes_on = False
        one: State | None = state
        two: State | None = other
        place = end
        while one is not two and one is not None and two is not None:
            if one.grip is not two.grip:
                for string, order in zip(self.plucks[place].strings, self.orders[place], strict=True):
                    first, second = one.grip.of[string], two.grip.of[string]
                    if first != second and (least is None or (order, place) < least):
                        least, smaller = (order, place), first < second
            if (one.start == place) != (two.start == place):
                goes_on = two.start == place
            if one.start == place:
                one = one.before
            if two.start == place:
                two = two.before
            place -= 1
        return smaller if least is not None else goes_on

    def _line(self, best: State) -> Line:
        fingers: list[Fingers] = []
        starts: list[int] = []
        state: State | None = best
        place = len(self.plucks) - 1
        while state is not None:
            starts.append(state.start)
            of = state.grip.of
            for index in range(place, state.start - 1, -1):
                fingers.append(tuple([of[string] for string in self.plucks[index].strings]))
            place, state = state.start - 1, state.before
        return Line(tuple(reversed(fingers)), tuple(reversed(starts)), best.cost)


_SPENT: dict[Grip, State] = {}


def _cost(state: State) -> int:
    return state.cost
