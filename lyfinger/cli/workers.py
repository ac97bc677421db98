"""Several processes for independent pieces of work (``--jobs``)."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeVar

from ..marking.spread import Spread, one_by_one
from ..source.messages import Refused

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

UNTIMELY = "a process of --jobs came to an untimely end; nothing is written"

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
    import multiprocessing

    system = multiprocessing.get_context("fork")
    results: dict[int, Result] = {}
    workers = []
    for share in shares[1:]:
        here, there = system.Pipe(duplex=False)
        worker = system.Process(target=_work, args=(call, items, share, there), daemon=True)
        worker.start()
        there.close()
        workers.append((worker, here))
    try:
        results.update((index, call(items[index])) for index in shares[0])
        for _, here in workers:
            results.update(_received(here))
    finally:
        for worker, _ in workers:
            worker.terminate()
            worker.join()
    return [results[index] for index in range(len(items))]


def _work(call: Callable[[Item], Result], items: Sequence[Item], share: list[int], there: Connection) -> None:
    """What a copy does: its share, then hand over the results, or what stopped it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first process hears of it too, and ends this one
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    try:
        done: object = [(index, call(items[index])) for index in share]
    except Exception as error:
        done = error
    there.send(done)


def _received(here: Connection) -> list[tuple[int, Result]]:
    try:
        done = here.recv()
    except EOFError as error:
        raise Refused(UNTIMELY) from error
    if isinstance(done, BaseException):
        raise done
    found: list[tuple[int, Result]] = done
    return found
