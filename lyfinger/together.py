"""What belongs together, put together pair by pair."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Generic, TypeVar

Item = TypeVar("Item")


class Together(Generic[Item]):
    """Groups of items; each has one item that stands for it.

    >>> pairs = Together([1, 2, 3])
    >>> pairs.join(1, 3)
    >>> pairs.groups()
    [[1, 3], [2]]
    """

    __slots__ = ("_leader",)

    def __init__(self, items: Iterable[Item] = ()) -> None:
        self._leader = {item: item for item in items}

    def add(self, item: Item) -> None:
        """Have an item by itself, where it is not known yet."""
        self._leader.setdefault(item, item)

    def leader(self, item: Item) -> Item:
        """The item that stands for the group of one."""
        leader = self._leader
        while (above := leader[item]) != item:
            leader[item] = item = leader[above]
        return item

    def join(self, one: Item, *others: Item) -> None:
        """Make one group of the groups of these items; the leader of the first stands for it."""
        for other in others:
            self._leader[self.leader(other)] = self.leader(one)

    def __iter__(self) -> Iterator[Item]:
        return iter(self._leader)

    def groups(self) -> list[list[Item]]:
        """The groups, and the items of each, in the order in which the items were added."""
        found: dict[Item, list[Item]] = {}
        for item in self._leader:
            found.setdefault(self.leader(item), []).append(item)
        return list(found.values())
