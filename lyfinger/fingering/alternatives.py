"""The next-best fingerings of a figure: what else there is, in exact order, and what each costs more.

A *figure* is a set of notes of one group (phrases that are decided together). Two fingerings of it are different if
a digit in the figure is; each is judged with the cheapest fingering of the rest of the group. A figure that is its
whole phrase so gives the phrase's own second, third and fourth best.

Exact by partition (Lawler's): the answers that differ from the best one in a figure of n notes fall into n classes
(the first i digits the same, the next another), and the best of each class is found by the same search as ever, with
the digits of those notes narrowed. The least of them is the second best; its own class is parted again for the third.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush, nsmallest
from operator import attrgetter
from typing import Any, NamedTuple

from ..harp.hand import HandProfile
from ..harp.reach import Reach
from .audited import Audited
from .bothways import BothWays
from .coupled import Joint, JointSearch, Lines, Link, Masks, Part, merged
from .ledger import Digits, Item, Ledger, placings_of
from .model import Passage, Placed
from .plan import Group, Plan, survey
from .ranking import Ranking
from .search import hangs_together, taken_apart
from .settings import Settings
from .tables import ALL_FINGERS, Tables, tables_for

_SHARE = 8
"""Many searches are made for groups that hang together: each has this part of the work that the answer had."""

_KEPT = 8
"""So many chains and groups are remembered, for the next figure: what is explained in order goes from hand to hand."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One fingering of a group. ``fingers`` and ``placings`` are those of the whole passage, as in Placed; the rest of
    the passage is left as it was.

    ``ledger`` holds what the group costs with it. ``proven``: no fingering of the figure that is not listed before
    it costs less.
    """

    fingers: Digits
    placings: tuple[int, ...]
    ledger: Ledger
    proven: bool

    @property
    def cost(self) -> int:
        """What the group costs, in thousandths."""
        return self.ledger.total


@dataclass(frozen=True, slots=True)
class _Class:
    """Answers of which the notes before ``first`` (a place in the figure) are settled; ``joint`` is the best one."""

    masks: Masks
    first: int
    joint: Joint


class _Apart(NamedTuple):
    """A group as its searches see it: tables, parts, links between them, the part of each chain; and what they have
    found."""

    tables: Tables
    parts: tuple[Part, ...]
    links: tuple[Link, ...]
    went: list[int]
    lines: Lines


class Alternatives:
    """The fingerings of one group of an answer of the search.

    Raises ValueError if the passage is not the one that ``placed`` answers.
    """

    def __init__(self, passage: Passage, placed: Placed, hand: HandProfile, settings: Settings | None = None) -> None:
        if len(passage.onsets) != len(placed.fingers):
            raise ValueError("this answer belongs to another passage")
        self.passage = passage
        self.placed = placed
        self.settings = settings or Settings()
        self.reach = Reach(hand, self.settings.harp)
        self.hand = hand
        refused = {problem.onset: problem for problem in placed.problems}
        self._chains: dict[int, BothWays] = {}
        self._apart: dict[int, _Apart] = {}
        self._best: dict[int, tuple[Choice, int]] = {}
        self.plan: Plan = survey(passage, self.reach, self.settings, refused)
        self.gaps: dict[tuple[int, int], int] = {}
        """The least time, in milliseconds, of each step, by the onsets that it leads from and to (indices)."""
        for step in passage.steps:
            way = (step.before, step.after)
            self.gaps[way] = min(step.gap, self.gaps.get(way, step.gap))
        self._audited = Audited(passage, self.plan, placed, self.reach, self.settings)

    def group_of(self, onset: int) -> Group | None:
        """The group that an onset (index) is decided in; None for one that has a problem."""
        for group in self.plan.groups:
            if any(onset in chain.onsets for chain in group.chains):
                return group
        return None

    def best(self, group: Group) -> Choice:
        """What the search has answered."""
        first = group.chains[0].first
        if first not in self._best:
            placed = self.placed
            ranges = [placings_of(chain, placed.placings) for chain in group.chains]
            best = self._choice(group, placed.fingers, placed.placings, ranges)
            bound = best.cost if placed.bound == placed.cost else self._proven(group)
            self._best[first] = replace(best, proven=bound == best.cost), bound
        return self._best[first][0]

    def bound(self, group: Group) -> int:
        """What a group is proven to cost at least, in thousandths: its cost, unless only a best found is known."""
        self.best(group)
        return self._best[group.chains[0].first][1]

    def _proven(self, group: Group) -> int:
        tables = tables_for(self.hand, self.settings)
        parts, links, _ = merged(*taken_apart(group, self.passage, self.plan, tables))
        joint = JointSearch(tables, parts, links).solve()
        return joint.bound if joint is not None else 0

    def next_best(self, group: Group, figure: Sequence[int], count: int = 3) -> tuple[Choice, ...]:
        """The ``count`` fingerings that come after the answer, cheapest first; of equal costs in reading order.

        ``figure`` are keys of source notes; those with a locked digit, which is kept, tell no fingerings apart.
        There may be fewer, or none.
        """
        if hangs_together(group, self.passage):
            return self.by_partition(group, figure, count)
        keys = self._free(group, figure)
        return tuple(self._ranked(group, keys, count)) if keys and count > 0 else ()

    def by_partition(self, group: Group, figure: Sequence[int], count: int = 3) -> tuple[Choice, ...]:
        """The same list for any group, each entry by searches of the whole group."""
        keys = self._free(group, figure)
        return tuple(_Partition(self, group, keys).listed(count)) if keys and count > 0 else ()

    def apart(self, group: Group) -> _Apart:
        """What searches of a group look at, remembered for the next figure in it."""
        first = group.chains[0].first
        if first not in self._apart:
            _make_room(self._apart)
            limit = self.settings.coupling_limit // _SHARE
            tables = tables_for(self.hand, self.settings._replace(coupling_limit=limit))
            self._apart[first] = _Apart(tables, *merged(*taken_apart(group, self.passage, self.plan, tables)), {})
        return self._apart[first]

    def _ranked(self, group: Group, keys: Sequence[int], count: int) -> Iterator[Choice]:
        """Those of a chain that is decided alone."""
        chain = self._chain(group)
        answer = self.placed.fingers[group.chains[0].first : group.chains[0].last + 1]
        for line in Ranking(chain, keys).listed(count, answer):
            yield self.answered(group, Joint((line,), line.cost, line.cost), (0,), True)

    def _chain(self, group: Group) -> BothWays:
        first = group.chains[0].first
        if first not in self._chains:
            _make_room(self._chains)
            tables = tables_for(self.hand, self.settings)
            (part,), _ = taken_apart(group, self.passage, self.plan, tables)
            self._chains[first] = BothWays(tables, part)
        return self._chains[first]

    def _free(self, group: Group, figure: Sequence[int]) -> list[int]:
        """The keys of a figure that have a choice, in reading order."""
        wanted = set(figure)
        first: dict[int, int] = {}
        for onset in (self.passage.onsets[index] for chain in group.chains for index in chain.onsets):
            for key, lock, order in zip(onset.keys, onset.locks, onset.orders, strict=True):
                if key in wanted and lock is None:
                    first[key] = min(order, first.get(key, order))
        return sorted(first, key=lambda key: (first[key], key))

    def _choice(self, group: Group, fingers: Digits, placings: Sequence[int], ranges: list[list[range]]) -> Choice:
        auditor = self._audited.auditor(fingers)
        items: list[Item] = []
        for chain, own in zip(group.chains, ranges, strict=True):
            items += self._audited.items(auditor, chain, own)
        items += [item for jump in group.jumps for item in auditor.jump(jump)]
        ledger = Ledger(tuple(sorted(items, key=_onsets)))
        return Choice(tuple(fingers), tuple(placings), ledger, True)

    def answered(self, group: Group, joint: Joint, went: Sequence[int], proven: bool) -> Choice:
        """The choice that an answer for the parts of a group makes; ``went`` leads from chain to part."""
        fingers = list(self.placed.fingers)
        ranges: list[list[range]] = []
        for chain, part in zip(group.chains, went, strict=True):
            line = joint.lines[part]
            fingers[chain.first : chain.last + 1] = line.fingers
            starts = [chain.first + start for start in line.starts]
            ranges.append([range(*ends) for ends in zip(starts, [*starts[1:], chain.last + 1], strict=True)])
        return replace(self._choice(group, fingers, _numbered(self.placed.placings, ranges), ranges), proven=proven)


def _make_room(kept: dict[int, Any]) -> None:
    """Forget the oldest thing where as many as are to be kept are there."""
    if len(kept) >= _KEPT:
        del kept[next(iter(kept))]


_onsets = attrgetter("onsets")


def _numbered(old: Sequence[int], chains: list[list[range]]) -> list[int]:
    """Placings counted anew: those of some chains, in order, are given; elsewhere they are where they were.

    >>> _numbered((0, 0, 1, 1, 2, 3, 3), [[range(2, 3), range(3, 4)]])
    [0, 0, 1, 2, 3, 4, 4]
    """
    placings: list[int] = []
    for ranges in [*chains, [range(len(old), len(old))]]:
        rest = old[len(placings) : ranges[0].start]
        if rest:
            shift = (placings[-1] + 1 if placings else 0) - rest[0]
            placings += map(shift.__add__, rest) if shift else rest
        number = placings[-1] if placings else -1
        for onsets in ranges:
            number += 1
            placings += [number] * len(onsets)
    return placings


class _Partition:
    """The answers of a group, parted by the digits of a figure."""

    def __init__(self, whole: Alternatives, group: Group, keys: list[int]) -> None:
        self._whole = whole
        self._group = group
        self._keys = keys
        self._tables, self._parts, self._links, self._went, self._lines = whole.apart(group)
        order = {
            key: place
            for part in reversed(self._parts)
            for keys_here, orders in zip(reversed(part.keys), reversed(part.orders), strict=True)
            for key, place in zip(keys_here, orders, strict=True)
        }
        self._reading = sorted(order, key=lambda key: (order[key], key))
        self._heap: list[tuple[int, tuple[int, ...], int, _Class]] = []
        self._count = 0

    def listed(self, count: int) -> Iterator[Choice]:
        fingers = self._whole.placed.fingers
        digit = {
            key: finger
            for chain in self._group.chains
            for index in chain.onsets
            for key, finger in zip(self._whole.passage.onsets[index].keys, fingers[index], strict=True)
            if finger is not None
        }
        self._part({}, 0, digit, count)
        while self._heap and count:
            bound = min(entry[3].joint.bound for entry in self._heap)
            found = heappop(self._heap)[3]
            yield self._whole.answered(self._group, found.joint, self._went, found.joint.cost <= bound)
            count -= 1
            if count:
                self._part(found.masks, found.first, self._digits(found.joint), count)

    def _part(self, masks: Masks, first: int, digit: Mapping[int, int], count: int) -> None:
        """Part the rest of a class: in each new one the figure is as in ``digit`` up to a note, and there it is not.

        Of classes that are certain to come after ``count`` others none is kept.
        """
        settled = dict(masks)
        for place in range(first, len(self._keys)):
            key = self._keys[place]
            others = settled.get(key, ALL_FINGERS) & ~(1 << digit[key])
            if others:
                self._push({**settled, key: others}, place, count)
            settled[key] = 1 << digit[key]

    def _push(self, masks: Masks, first: int, count: int) -> None:
        search = JointSearch(self._tables, self._parts, self._links, masks, self._lines)
        if len(self._heap) < count:
            joint = search.solve()
        else:
            joint = search.solve(nsmallest(count, self._heap)[-1][0])
        if joint is not None:
            digit = self._digits(joint)
            self._count += 1
            reading = tuple(digit[key] for key in self._reading)
            heappush(self._heap, (joint.cost, reading, self._count, _Class(masks, first, joint)))

    def _digits(self, joint: Joint) -> dict[int, int]:
        return {
            key: finger
            for part, line in zip(self._parts, joint.lines, strict=True)
            for keys, fingers in zip(part.keys, line.fingers, strict=True)
            for key, finger in zip(keys, fingers, strict=True)
        }
