"""Who reads and who marks which files, so that each process has about as much to do.

Before anything is read that is a guess, from the size of the files and the includes that they name; what hangs together
indeed is known when they have been read.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

from ..source.library import STANDARD_INPUT
from ..source.paths import named_in_text
from ..source.text import decode
from ..together import Together
from .desk import Asked, Told
from .workers import shares_of

READING = 0.2
"""What it takes to read a file, of all that marking it takes. Measured."""
MUCH = 1.5
"""How many times its fair share one process may have before others help it."""
_INCLUDE = re.compile(rb'\\include\s*"([^"\r\n]+)"')


class _Look(NamedTuple):
    """What a FILE seems to be: where it is, the paths that it names in includes, and the bytes of all these."""

    real: str
    includes: tuple[str, ...]
    size: int


def shares(asked: Sequence[Asked], count: int) -> list[list[int]]:
    """The indices of the files in so many shares at most, for reading.

    Files that name the same include are in one share, as far as that leaves enough for the others.
    """
    looks = [_look(one.name) for one in asked]
    joined = Together(range(len(asked)))
    mentioned: dict[tuple[int, str], list[int]] = {}
    same: dict[tuple[int, str], list[int]] = {}
    for index, (one, look) in enumerate(zip(asked, looks, strict=True)):
        same.setdefault((one.number, look.real), []).append(index)
        for path in (look.real, *look.includes):
            mentioned.setdefault((one.number, path), []).append(index)
    for indices in same.values():
        joined.join(*indices)
    sizes = {index: look.size for index, look in enumerate(looks)}
    _join_as_far_as(joined, sizes, sorted(mentioned.values(), key=len), sum(sizes.values()) / count)
    clusters = joined.groups()
    found = shares_of(clusters, lambda cluster: sum(sizes[index] for index in cluster), count)
    return [sorted(index for number in share for index in clusters[number]) for share in found if share]


def _join_as_far_as(
    joined: Together[int], sizes: Mapping[int, int], all_indices: Iterable[list[int]], most: float
) -> None:
    """Join what hangs together unless it would be more than ``most``."""
    loads = dict(sizes)
    for group in joined.groups():
        loads[joined.leader(group[0])] = sum(sizes[index] for index in group)
    for indices in all_indices:
        leaders = {joined.leader(index) for index in indices}
        load = sum(loads[leader] for leader in leaders)
        if load <= most:
            joined.join(*leaders)
            loads[joined.leader(indices[0])] = load


def _look(name: str) -> _Look:
    """A first look at a FILE; one that can't be read is small."""
    real = os.path.realpath(name)
    try:
        with open(name, "rb") as stream:
            data = stream.read()
    except (OSError, ValueError):
        return _Look(real, (), 1)
    folder = os.path.dirname(real)
    named = (os.path.join(folder, named_in_text(decode(found))) for found in _INCLUDE.findall(data))
    paths = tuple(dict.fromkeys(map(os.path.normpath, named)))
    return _Look(real, paths, 1 + len(data) + sum(map(_size, paths)))


def is_lasting(name: str) -> bool:
    """Whether a FILE can be read twice, or not at all."""
    return name != STANDARD_INPUT and (os.path.isfile(name) or not os.path.exists(name))


def _size(path: str) -> int:
    try:
        return os.stat(path).st_size
    except (OSError, ValueError):
        return 0


def groups(asked: Sequence[Asked], told: Mapping[int, Told]) -> list[list[int]]:
    """The files, as far as they could be read, by what must be decided together."""
    roots = {index: one for index, one in told.items() if one.read}
    own = {(asked[index].number, real) for index, one in roots.items() for real in one.own}
    joined = Together(roots)
    first: dict[tuple[int, str], int] = {}
    for index, one in roots.items():
        for file in ((asked[index].number, real) for real in one.read):
            if file in own:
                joined.join(first.setdefault(file, index), index)
    return joined.groups()


class Divided(NamedTuple):
    """The indices of the files that each process marks; ``alone`` says whether each does so by itself, or the first one
    has so much that others should help it."""

    chosen: list[list[int]]
    alone: bool


def divided(
    found: Sequence[list[int]], shared: Sequence[Collection[int]], size: Callable[[int], int], count: int
) -> Divided:
    """Who marks what, of what hangs together: the one that has read most of it, unless that gives one process much more
    to do than another.

    What is too much for one of ``count`` processes the first one takes.
    """
    costs = [_costs(group, shared, size) for group in found]
    fair = MUCH * sum(size(index) for group in found for index in group) / count
    owners = [0 if min(cost) > fair else cost.index(min(cost)) for cost in costs]
    movable = [number for number, cost in enumerate(costs) if min(cost) <= fair]
    loads = [0.0] * len(shared)
    for owner, cost in zip(owners, costs, strict=True):
        loads[owner] += cost[owner]
    for _ in movable:
        most, least = loads.index(max(loads)), loads.index(min(loads))
        loaded = [number for number in movable if owners[number] == most]
        best = min(loaded, key=lambda number: abs(loads[most] - loads[least] - 2 * costs[number][least]), default=None)
        if best is None or loads[least] + costs[best][least] >= loads[most]:
            break
        loads[most] -= costs[best][most]
        loads[least] += costs[best][least]
        owners[best] = least
    chosen: list[list[int]] = [[] for _ in shared]
    for owner, group in zip(owners, found, strict=True):
        chosen[owner] += group
    return Divided(chosen, loads[0] <= fair)


def _costs(group: Sequence[int], shared: Sequence[Collection[int]], size: Callable[[int], int]) -> list[float]:
    """What a group is to each process, with what it would have to read again."""
    whole = sum(map(size, group))
    return [whole + READING * sum(size(index) for index in group if index not in own) for own in shared]
