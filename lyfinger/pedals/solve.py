"""The best plan for one foot, exactly: dynamic programming over the stops in printed order.

A state is how the pedals stand and how long ago the foot moved last (none beyond what it needs). A turn of a repeat
joins two stops that are not neighbours: how the pedals stood at the earlier one is kept beside the state until the
later one has come, so that the turn is weighed exactly. Hurry is counted along printed time, not over turns.

Pedals hinder one another only where the foot is crowded or hurried. So each is solved by itself first, and those that
hinder one another are solved again as one group, until no group hinders another: what a group costs by itself it costs
in any plan at least, so then no plan costs less.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from .problem import HURRIED, Problem, State, crowd, move_cost, moved, part_of
from .settings import PEDAL_MS

#: States kept at one stop; beyond that the dearest are dropped, and the plan is no longer proven best.
MOST_STATES = 2_000

Key = tuple[State, int, tuple[State, ...]]
"""How the pedals stand, milliseconds since the last move (``PEDAL_MS``: long ago), and the states kept for turns."""


class Solved:
    """A plan: how the pedals stand from each stop on, what that costs, and whether no other costs less."""

    def __init__(self, states: list[State], cost: int, proven: bool) -> None:
        self.states, self.cost, self.proven = states, cost, proven


def solve(problem: Problem) -> Solved:
    """The plan of least cost. Without turns the states are few, and all pedals are one group from the start."""
    pedals = len(problem.stops[0].choices) if problem.stops else 0
    if all(after == before + 1 for before, after, _ in problem.hops):
        return _Search(problem).run()
    groups: list[tuple[int, ...]] = [(pedal,) for pedal in range(pedals)]
    answers: dict[tuple[int, ...], Solved] = {}
    while True:
        for group in groups:
            if group not in answers:
                answers[group] = _Search(part_of(problem, group)).run()
        states = _together(groups, answers, len(problem.stops))
        hindering = _hindering(problem, groups, states)
        if not hindering:
            break
        merged = tuple(sorted(pedal for group in hindering for pedal in group))
        groups = sorted([*(group for group in groups if group not in hindering), merged])
    cost = sum(answers[group].cost for group in groups)
    return Solved(states, cost, all(answers[group].proven for group in groups))


def _together(groups: list[tuple[int, ...]], answers: dict[tuple[int, ...], Solved], stops: int) -> list[State]:
    """The states of all pedals from those of the groups."""
    columns = {
        pedal: [state[place] for state in answers[group].states]
        for group in groups
        for place, pedal in enumerate(group)
    }
    return [tuple(columns[pedal][stop] for pedal in sorted(columns)) for stop in range(stops)]


def _hindering(problem: Problem, groups: list[tuple[int, ...]], states: list[State]) -> list[tuple[int, ...]]:
    """The first groups, more than one, that make a stop crowded or hurried together; none if they don't."""
    forward = {after: since for before, after, since in problem.hops if after == before + 1}
    home = {pedal: group for group in groups for pedal in group}
    for before, after, since in problem.hops:
        moves = moved(states[before], states[after])
        own = {home[pedal]: [other for other in moves if home[other] == home[pedal]] for pedal in moves}
        if len(own) > 1 and crowd(problem, after, moves, since) > sum(
            crowd(problem, after, found, since) for found in own.values()
        ):
            return list(own)
    last: dict[tuple[int, ...], int] = {}
    clock = 0
    for stop in range(1, len(states)):
        if stop not in forward:
            last = {}
            continue
        clock += forward[stop]
        movers = {home[pedal] for pedal in moved(states[stop - 1], states[stop])}
        for mover in movers:
            others = [group for group, time in last.items() if group != mover and clock - time < PEDAL_MS]
            if others and clock - last.get(mover, clock - PEDAL_MS) >= PEDAL_MS:
                return [mover, others[0]]
        last |= dict.fromkeys(movers, clock)
    return []


class _Search:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.forward = {after: since for before, after, since in problem.hops if after == before + 1}
        self.turns: dict[int, list[tuple[int, bool, int]]] = {}
        """By the later stop of a turn: its earlier stop, whether it leads back there, and its time."""
        self.until: dict[int, int] = {}
        for before, after, since in problem.hops:
            if after != before + 1:
                early, late = min(before, after), max(before, after)
                self.turns.setdefault(late, []).append((early, before >= after, since))
                self.until[early] = max(late, self.until.get(early, late))
        self.kept: list[int] = []
        self.proven = True

    def run(self) -> Solved:
        if not self.problem.stops:
            return Solved([], 0, True)
        best: dict[Key, int] = {}
        history: list[dict[Key, Key | None]] = []
        for at in range(len(self.problem.stops)):
            best, came = self._step(at, best)
            history.append(came)
        key: Key | None = min(best, key=lambda one: (best[one], one))
        cost = best[key]  # type: ignore[index]
        states: list[State] = []
        for came in reversed(history):
            assert key is not None
            states.append(key[0])
            key = came[key]
        return Solved(states[::-1], cost, self.proven)

    def _step(self, at: int, best: dict[Key, int]) -> tuple[dict[Key, int], dict[Key, Key | None]]:
        choices = list(product(*self.problem.stops[at].choices))
        found: dict[Key, int] = {}
        came: dict[Key, Key | None] = {}
        names = self.kept
        self.kept = [name for name in names if self.until[name] > at] + ([at] if self.until.get(at, at) > at else [])
        places = [names.index(name) if name in names else -1 for name in self.kept]
        memo: dict[tuple[State, State], int] = {}
        turns, gap = at in self.turns, self.forward.get(at)
        for before, cost in self._sources(at, best):
            since, held = (PEDAL_MS, ()) if before is None else (before[1], before[2])
            since = PEDAL_MS if gap is None else min(since + gap, PEDAL_MS)
            for state in choices:
                if before is None or gap is None or before[0] == state:
                    total, last = cost, since
                else:
                    total, last = cost + self._move(at, before[0], state, gap, memo), 0
                    if since < PEDAL_MS:
                        total += HURRIED * len(moved(before[0], state))
                if turns:
                    total += self._turned(at, state, held, names)
                kept = tuple([held[place] if place >= 0 and before else state for place in places]) if places else ()
                key = (state, last, kept)
                old = found.get(key)
                if old is None or total < old or (total == old and _smaller(before, came[key])):
                    found[key], came[key] = total, before
        return self._pruned(found), came

    def _sources(self, at: int, best: dict[Key, int]) -> Iterator[tuple[Key | None, int]]:
        if at == 0:
            yield None, 0
        else:
            yield from best.items()

    def _move(self, at: int, before: State, state: State, gap: int, memo: dict[tuple[State, State], int]) -> int:
        """The cost of the moves from one state to another at a stop, all but the hurry."""
        pair = (before, state)
        if pair not in memo:
            memo[pair] = move_cost(self.problem, at, before, state, gap)
        return memo[pair]

    def _turned(self, at: int, state: State, kept: tuple[State, ...], names: list[int]) -> int:
        """The cost of the turns whose later stop this is."""
        total = 0
        for early, back, since in self.turns.get(at, ()):
            other = state if early == at else kept[names.index(early)]
            before, after, goal = (state, other, early) if back else (other, state, at)
            if moved(before, after):
                total += move_cost(self.problem, goal, before, after, since)
        return total

    def _pruned(self, found: dict[Key, int]) -> dict[Key, int]:
        if len(found) <= MOST_STATES:
            return found
        self.proven = False
        return dict(sorted(found.items(), key=lambda item: (item[1], item[0]))[:MOST_STATES])


def _smaller(one: Key | None, other: Key | None) -> bool:
    return one is not None and other is not None and one < other
