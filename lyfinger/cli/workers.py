"""Several processes for independent pieces of work (``--jobs``)."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from typing import TypeVar

from ..marking.spread import Spread, one_by_one

Item = TypeVar("Item")
Result = TypeVar("Result")


def processes(jobs: int) -> int:
    """How many processes there shall be: 0 stands for as many as there are processors; one where the system can't copy
    a process."""
    if not hasattr(os, "fork"):
        return 1
    return jobs or (len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1)


def spread_over(jobs: int) -> Spread:
    """A ``map`` over so many processes at most; 0 stands for as many as there are processors.

    Each one begins as a copy of this one, so that nothing needs to be handed over but the results. Where the system
    can't copy a process, this one does all the work: the results are the same.
    """
    count = processes(jobs)
    if count == 1:
        return one_by_one

    def spread(call: Callable[[Item], Result], items: Sequence[Item], size: Callable[[Item], int]) -> list[Result]:
        shares = [share for share in shares_of(items, size, count) if share]
        return _together(call, items, shares) if len(shares) > 1 else [call(item) for item in items]

    return spread


def shares_of(items: Sequence[Item], size: Callable[[Item], int], count: int) -> list[list[int]]:
    """The indices of the items in ``count`` shares of about the same size: the largest first, each to the least.

    >>> shares_of([5, 1, 4, 3], int, 2)
    [[0, 1], [2, 3]]
    """
    shares: list[list[int]] = [[] for _ in range(count)]
    loads = [0] * count
    for index in sorted(range(len(items)), key=lambda index: -size(items[index])):
        least = loads.index(min(loads))
        shares[least].append(index)
        loads[least] += size(items[index]) or 1
    return [sorted(share) for share in shares]


def _together(call: Callable[[Item], Result], items: Sequence[Item], shares: list[list[int]]) -> list[Result]:
    """All items, the first share by this process and each other one by a copy of it."""
    from .crew import Crew, Strokes

    def done(share: list[int]) -> list[tuple[int, Result]]:
        return [(index, call(items[index])) for index in share]

    with Crew(Strokes(done), shares[1:]) as crew:
        results = dict(done(shares[0]))
        for found in crew.told():
            results.update(found)
    return [results[index] for index in range(len(items))]
