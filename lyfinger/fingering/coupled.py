"""Chains that share source notes or are joined by jumps: decided together, exactly, by branch and bound.

Each chain alone, whatever the others do, can't cost less than its own cheapest answer; so their sum, with the least
that each jump can cost, is a lower bound. Where the chains' answers give one note two digits, or a jump costs more
than its least, the note is fixed to each finger in turn and the chains that contain it are solved again. Nodes are
taken in the order of (bound, digits in reading order): the first one that agrees with itself is the cheapest answer,
and of equal ones the first in reading order, because a node's digits never come after those of what lies under it.

Beyond ``Settings.coupling_limit`` onsets of work the search dives from the best node to an answer that is good, not
proven; the least bound still open is then the proven one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from heapq import heappop, heappush
from typing import NamedTuple

from .chain import ChainSearch, Line
from .interned import NUMBER, Pluck
from .tables import ALL_FINGERS, Tables
from .views import form_at_jump

Masks = dict[int, int]


class Part(NamedTuple):
    """A chain to be decided. ``keys`` and ``orders`` run parallel to the strings of its plucks; ``times`` is how
    often the very same chain occurs."""

    plucks: tuple[Pluck, ...]
    hastes: tuple[int, ...]
    cuts: frozenset[int]
    keys: tuple[tuple[int, ...], ...]
    orders: tuple[tuple[int, ...], ...]
    times: int = 1


class Link(NamedTuple):
    """A jump between two places, each (part, position), taken ``times`` times."""

    before: tuple[int, int]
    after: tuple[int, int]
    haste: int
    times: int = 1


class Joint(NamedTuple):
    """The answer for parts decided together; ``bound`` equals ``cost`` when it is proven."""

    lines: tuple[Line, ...]
    cost: int
    bound: int


class _Node(NamedTuple):
    masks: Masks
    lines: tuple[Line, ...]
    bound: int
    digits: tuple[int, ...]


Lines = dict[tuple[int, tuple[tuple[int, int], ...]], Line | None]
"""The best line of a part (number) whose notes are narrowed so (sorted pairs of key and fingers)."""


_NO_LIMIT = 1 << 62


class JointSearch:
    """One search over parts and the links between them; ``narrowed`` leaves some notes fewer fingers to choose from.

    Several searches over the same parts may share what they have ``found``; each counts its work as if it were alone,
    so that it comes to the same answer whatever the others did.
    """

    def __init__(
        self,
        tables: Tables,
        parts: tuple[Part, ...],
        links: tuple[Link, ...],
        narrowed: Masks | None = None,
        found: Lines | None = None,
    ) -> None:
        self.tables = tables
        self._narrowed = narrowed or {}
        self.parts = parts
        self.links = links
        self._spent = 0
        self._found: Lines = {} if found is None else found
        self._lines: Lines = {}
        self._keys_of = [frozenset(key for keys in part.keys for key in keys) for part in parts]
        places = [
            (order, number, position, note, key)
            for number, part in enumerate(parts)
            for position, orders in enumerate(part.orders)
            for note, (order, key) in enumerate(zip(orders, part.keys[position], strict=True))
        ]
        self._reading = sorted(places)

    def solve(self, limit: int = _NO_LIMIT) -> Joint | None:
        """The cheapest answer; None if one note can't have one digit in all its places, or if it is certain to cost
        more than a limit (thousandths)."""
        root = self._node(self._narrowed)
        if root is None:
            return None
        count = 0
        heap: list[tuple[int, tuple[int, ...], int, _Node]] = [(root.bound, root.digits, count, root)]
        while heap and heap[0][0] <= limit:
            if self._spent > self.tables.settings.coupling_limit and count:
                return self._settle(heap)
            node = heappop(heap)[3]
            key = self._undecided(node)
            if key is None:
                return Joint(node.lines, node.bound, node.bound)
            for child in self._children(node, key):
                count += 1
                heappush(heap, (child.bound, child.digits, count, child))
        return None

    def _settle(self, heap: list[tuple[int, tuple[int, ...], int, _Node]]) -> Joint | None:
        """Dive to an answer: the most promising child first, back only where nothing is possible."""
        bound = heap[0][0]
        stack = [entry[3] for entry in sorted(heap, key=lambda entry: entry[:3], reverse=True)]
        while stack:
            node = stack.pop()
            key = self._undecided(node)
            if key is None:
                return Joint(node.lines, node.bound, min(bound, node.bound))
            children = sorted(self._children(node, key), key=lambda child: (child.bound, child.digits), reverse=True)
            stack.extend(children)
        return None

    def _children(self, node: _Node, key: int) -> Iterator[_Node]:
        mask = node.masks.get(key, ALL_FINGERS)
        for finger in range(1, 5):
            if mask >> finger & 1:
                child = self._node({**node.masks, key: 1 << finger})
                if child is not None:
                    yield child

    def _node(self, masks: Masks) -> _Node | None:
        lines = []
        for number in range(len(self.parts)):
            line = self._solved(number, masks)
            if line is None:
                return None
            lines.append(line)
        bound = sum(line.cost * part.times for line, part in zip(lines, self.parts, strict=True))
        bound += sum(link.times * self._least(link, masks) for link in self.links)
        digits = tuple(lines[part].fingers[position][note] for _, part, position, note, _ in self._reading)
        return _Node(masks, tuple(lines), bound, digits)

    def _solved(self, number: int, masks: Masks) -> Line | None:
        keys = self._keys_of[number]
        own = tuple(sorted((key, mask) for key, mask in masks.items() if key in keys))
        if (number, own) not in self._lines:
            self._spent += len(self.parts[number].plucks)
            if (number, own) not in self._found:
                self._found[number, own] = self._search(number, masks).solve()
            self._lines[number, own] = self._found[number, own]
        return self._lines[number, own]

    def _search(self, number: int, masks: Masks) -> ChainSearch:
        part = self.parts[number]
        plucks = [self._masked(number, position, masks) for position in range(len(part.plucks))]
        return ChainSearch(self.tables, plucks, part.hastes, part.cuts, part.orders)

    def _masked(self, number: int, position: int, masks: Masks) -> Pluck:
        part = self.parts[number]
        pluck, keys = part.plucks[position], part.keys[position]
        if not any(key in masks for key in keys):
            return pluck
        return self.tables.pluck(pluck.onset, pluck.glide, tuple(masks.get(key, ALL_FINGERS) for key in keys))

    def _link_cost(self, link: Link, before: tuple[int, ...], after: tuple[int, ...]) -> int:
        """A jump is judged by the fingers on both its sides; of their placings it sees these onsets alone."""
        old = self.parts[link.before[0]].plucks[link.before[1]]
        new = self.parts[link.after[0]].plucks[link.after[1]]
        step = self.tables.shifts(self.tables.passing(old, new, link.haste), before)[NUMBER[after]]
        forms = form_at_jump(old.strings, before), form_at_jump(new.strings, after)
        return step + self.tables.change(*forms, link.haste)

    def _least(self, link: Link, masks: Masks) -> int:
        return min(
            self._link_cost(link, before, after)
            for before in self._masked(*link.before, masks).allowed
            for after in self._masked(*link.after, masks).allowed
            if self._agrees(link, before, after)
        )

    def _agrees(self, link: Link, before: tuple[int, ...], after: tuple[int, ...]) -> bool:
        return link.before != link.after or before == after

    def _undecided(self, node: _Node) -> int | None:
        """A note that has two digits, in reading order the first; else one at a jump that costs more than its least."""
        seen: dict[int, int] = {}
        for (_, _, _, _, key), digit in zip(self._reading, node.digits, strict=True):
            if seen.setdefault(key, digit) != digit:
                return key
        for link in self.links:
            before = node.lines[link.before[0]].fingers[link.before[1]]
            after = node.lines[link.after[0]].fingers[link.after[1]]
            if self._link_cost(link, before, after) > self._least(link, node.masks):
                return self._open_key(link, node.masks)
        return None

    def _open_key(self, link: Link, masks: Masks) -> int:
        keys = [key for part, position in (link.before, link.after) for key in self.parts[part].keys[position]]
        return next(key for key in keys if (mask := masks.get(key, ALL_FINGERS)) & (mask - 1))


def merged(parts: list[Part], links: list[Link]) -> tuple[tuple[Part, ...], tuple[Link, ...], list[int]]:
    """Take equal parts (same notes, same content) as one; also returns where each part went."""
    home: dict[tuple[object, ...], int] = {}
    went: list[int] = []
    times: dict[int, int] = defaultdict(int)
    kept: list[Part] = []
    for part in parts:
        key = (part.plucks, part.hastes, part.cuts, part.keys)
        number = home.setdefault(key, len(kept))
        if number == len(kept):
            kept.append(part)
        times[number] += 1
        went.append(number)
    counted: dict[tuple[tuple[int, int], tuple[int, int], int], int] = defaultdict(int)
    for link in links:
        counted[(went[link.before[0]], link.before[1]), (went[link.after[0]], link.after[1]), link.haste] += 1
    return (
        tuple(Part(p.plucks, p.hastes, p.cuts, p.keys, p.orders, times[number]) for number, p in enumerate(kept)),
        tuple(Link(*ends, number) for ends, number in counted.items()),
        went,
    )
