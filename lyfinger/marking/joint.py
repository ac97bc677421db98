"""Passages that share source notes are solved as one, since one source note has one digit.

They share notes where a variable is used in two staves or scores, or where a part and a score include the same
music. Joined passages are laid end to end with a pause between them, so nothing but the shared notes ties them.
Passages that are quite the same (a part and its score) are solved once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from operator import attrgetter
from typing import NamedTuple

from ..fingering.model import Onset, Passage, Placed, Problem, Step
from ..together import Together
from .spread import Spread, one_by_one

_ASKED = attrgetter(*(name for name in Onset._fields if name != "orders"))
"""All that an onset asks of the search."""


class Joined(NamedTuple):
    """Passages laid end to end, and the answer of the search for all of them."""

    passage: Passage
    placed: Placed


class Solved(NamedTuple):
    """The answer for one passage: as :class:`Placed`, with placings numbered through the whole run.

    ``cost`` and ``bound`` are those of all the passages that were solved together, ``joined``, in which this one
    begins at the onset ``start``.
    """

    fingers: tuple[tuple[int | None, ...], ...]
    placings: tuple[int, ...]
    lifts: frozenset[int]
    problems: tuple[Problem, ...]
    cost: int
    bound: int
    joined: Joined
    start: int


class _Group(NamedTuple):
    """A joined passage, and for each member (an index) where in it its onsets begin."""

    passage: Passage
    starts: dict[int, int]


def solve_jointly(
    passages: Sequence[Passage], place: Callable[[Passage], Placed], spread: Spread = one_by_one
) -> list[Solved]:
    """The answer for each passage, in the order given, by ``place``, which solves one passage.

    Keys must identify source notes across all of the passages. What is joined by keys is solved as one; the rest is
    independent, and ``spread`` may solve it at the same time.
    """
    twins = _twins(passages)
    solved: dict[int, Solved] = {}
    next_placing = 0
    groups = _groups(passages, sorted(set(twins)))
    answers = spread(lambda group: place(group.passage), groups, lambda group: len(group.passage.onsets))
    for group, placed in zip(groups, answers, strict=True):
        joined = Joined(group.passage, placed)
        for member, start in group.starts.items():
            solved[member] = _share(joined, start, len(passages[member].onsets), next_placing)
        next_placing += max(placed.placings, default=-1) + 1
    return [solved[twin] for twin in twins]


def _twins(passages: Sequence[Passage]) -> list[int]:
    """For each passage the first one that asks the same question (reading order aside)."""
    first: dict[object, int] = {}
    return [
        first.setdefault((tuple(map(_ASKED, passage.onsets)), passage.steps), index)
        for index, passage in enumerate(passages)
    ]


def _groups(passages: Sequence[Passage], members: Sequence[int]) -> list[_Group]:
    together = Together(members)
    owner: dict[int, int] = {}
    for member in members:
        for onset in passages[member].onsets:
            for key in onset.keys:
                first = owner.setdefault(key, member)
                if first != member:
                    together.join(first, member)
    return [_join(passages, group) for group in together.groups()]


def _join(passages: Sequence[Passage], members: Sequence[int]) -> _Group:
    if len(members) == 1:
        return _Group(passages[members[0]], {members[0]: 0})
    onsets: list[Onset] = []
    steps: list[Step] = []
    starts: dict[int, int] = {}
    next_order = 0
    for member in members:
        passage = passages[member]
        start = starts[member] = len(onsets)
        if start and passage.onsets:
            steps.append(Step(start - 1, start, 0, pause=True))
        steps += (step._replace(before=step.before + start, after=step.after + start) for step in passage.steps)
        onsets += (
            onset._replace(orders=tuple(order + next_order for order in onset.orders)) for onset in passage.onsets
        )
        next_order += 1 + max((order for onset in passage.onsets for order in onset.orders), default=-1)
    return _Group(Passage(tuple(onsets), tuple(steps)), starts)


def _share(joined: Joined, start: int, length: int, first_placing: int) -> Solved:
    placed, stop = joined.placed, start + length
    return Solved(
        fingers=placed.fingers[start:stop],
        placings=tuple(first_placing + placing for placing in placed.placings[start:stop]),
        lifts=frozenset(onset - start for onset in placed.lifts if start <= onset < stop),
        problems=tuple(
            item._replace(onset=item.onset - start) for item in placed.problems if start <= item.onset < stop
        ),
        cost=placed.cost,
        bound=placed.bound,
        joined=joined,
        start=start,
    )
