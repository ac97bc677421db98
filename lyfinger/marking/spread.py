"""Work that falls into independent pieces, and who does them: this process alone, unless a caller has others."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol, TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")


class Spread(Protocol):
    """``map`` in whatever way: the results come in the order of the items, and what a call raises is raised.

    ``size`` says how much work an item is, compared with the others.
    """

    def __call__(
        self, call: Callable[[Item], Result], items: Sequence[Item], size: Callable[[Item], int], /
    ) -> list[Result]: ...


def one_by_one(call: Callable[[Item], Result], items: Sequence[Item], _: Callable[[Item], int]) -> list[Result]:
    """Every item in turn, in this process."""
    return [call(item) for item in items]
