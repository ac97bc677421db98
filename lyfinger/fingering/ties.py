"""Which of two ways of equal cost reads first.

Of equal costs the smaller digit sequence in reading order is kept; of equal digits the one that goes on longer in its
placings. Two ways into one state have the same future, so comparing what lies behind them is exact: the two are
walked back to where they part.

In a long phrase that says the same over and over two ways may run side by side from its beginning on, and be compared
at every onset. So what a walk finds is remembered at every eighth onset on its way, and a later walk ends where an
earlier one went: the work grows with the phrase, not with its square.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from .interned import Grip, Pluck

_STRIDE = 8


class State:
    """The cheapest way to have a grip on the strings at some onset, and what it has cost up to there.

    ``start``: where its placing starts; ``since``: the first onset that is not part of ``before`` too. That is the
    placing's first onset, or where the way goes on in the placing of ``before`` the last one.
    """

    __slots__ = ("before", "cost", "grip", "since", "start")

    def __init__(self, cost: int, grip: Grip, start: int, since: int, before: State | None) -> None:
        self.cost = cost
        self.grip = grip
        self.start = start
        self.since = since
        self.before = before


class _Difference(NamedTuple):
    """The first note in reading order with different digits (``first``: its order and place; None for none), whether
    the one way has the smaller; and whether it goes on where, for the first time, only one of the ways does."""

    first: tuple[int, int] | None
    smaller: bool
    goes_on: bool | None

    def flipped(self) -> _Difference:
        """The same, seen from the other way."""
        return _Difference(
            self.first, self.first is not None and not self.smaller, None if self.goes_on is None else not self.goes_on
        )

    def then(self, later: _Difference) -> _Difference:
        """This difference, and one further on in the phrase."""
        goes_on = later.goes_on if self.goes_on is None else self.goes_on
        if self.first is None or (later.first is not None and later.first < self.first):
            return _Difference(later.first, later.smaller, goes_on)
        return _Difference(self.first, self.smaller, goes_on)


_NONE = _Difference(None, False, None)

_Pair = tuple[State, State, int]


class Ties:
    """Compares the ways through one chain. ``orders`` run parallel to the strings of its plucks."""

    def __init__(self, plucks: Sequence[Pluck], orders: Sequence[tuple[int, ...]]) -> None:
        self._plucks = plucks
        self._orders = orders
        self._known: dict[_Pair, _Difference] = {}

    def reads_before(self, state: State, other: State, end: int) -> bool:
        """Whether the digits up to ``end`` on the way to ``state`` come before those on the way to ``other``."""
        found = self._difference(state, other, end)
        return found.smaller if found.first is not None else bool(found.goes_on)

    def _difference(self, state: State, other: State, end: int) -> _Difference:
        passed: list[tuple[_Pair, _Difference]] = []
        found = here = _NONE
        one: State | None = state
        two: State | None = other
        place = end
        while one is not two and one is not None and two is not None:
            if place % _STRIDE == 0 and place < end:
                known = self._remembered((one, two, place))
                if known is not None:
                    found = known
                    break
                passed.append(((one, two, place), here))
                here = _NONE
            if one.grip is not two.grip or (one.start == place) != (two.start == place):
                found_here = self._at(one, two, place)
                here = found_here if here is _NONE else found_here.then(here)
            if one.since == place:
                one = one.before
            if two.since == place:
                two = two.before
            place -= 1
        for pair, later in reversed(passed):
            found = self._known[pair] = found.then(here)
            here = later
        return found.then(here)

    def _remembered(self, pair: _Pair) -> _Difference | None:
        one, two, place = pair
        known = self._known.get(pair)
        if known is None:
            known = self._known.get((two, one, place))
            return None if known is None else known.flipped()
        return known

    def _at(self, one: State, two: State, place: int) -> _Difference:
        """The difference at one onset."""
        first: tuple[int, int] | None = None
        smaller = False
        if one.grip is not two.grip:
            for string, order in zip(self._plucks[place].strings, self._orders[place], strict=True):
                finger, other = one.grip.of[string], two.grip.of[string]
                if finger != other and (first is None or (order, place) < first):
                    first, smaller = (order, place), finger < other
        starts = two.start == place
        return _Difference(first, smaller, None if (one.start == place) == starts else starts)
