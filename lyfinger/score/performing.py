"""Performing order: which printed moment follows which when the repeats are played.

Printed time is cut at every beginning and end of a repeat and of its alternatives. Each stretch between two cuts
has its followers: the next one, the beginning of a repeat that is played again, an alternative. How often a
repeat is played does not matter, only which turnings occur at all, so a repeat of a billion times costs nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import NamedTuple

from .grid import Grid
from .model import Repeat

Time = tuple[Fraction, Fraction]
"""A moment and its grace part (zero, or negative in a grace group)."""

Counted = tuple[int, int]
"""The same on a grid."""


class Hop(NamedTuple):
    """``after`` is played next after ``before`` (indices of the times given).

    ``spans`` are the stretches of printed time that pass meanwhile, in performing order, as ``(from, to)`` on the grid
    and none of them empty; there is none between a grace note and its main note.
    """

    before: int
    after: int
    spans: tuple[tuple[int, int], ...]


class _Repeat(NamedTuple):
    """A :class:`Repeat` on the grid."""

    start: int
    end: int
    times: int
    alternatives: tuple[tuple[int, int, tuple[int, ...]], ...]


class _Part(NamedTuple):
    """A part of a repeat: what stands before its alternatives, one of those, or what stands behind them.

    ``leads_to`` are the moments that its end leads to; ``leaves`` is True where the end also leaves the repeat,
    for ``behind``.
    """

    start: int
    end: int
    leads_to: tuple[int, ...]
    leaves: bool
    behind: int


def hops(times: Sequence[Counted], repeats: Sequence[Repeat], grid: Grid) -> list[Hop]:
    """Every pair of times (sorted, on the grid) that are played one after the other, ordered by indices, each once.

    The repeats must lie on the grid.

    A single time in a repeat follows itself. Repeats that lie across one another are read as if the later one were
    not there.
    """
    if not times:
        return []
    order = _Order(times, _parts(_nested([_counted(repeat, grid.at) for repeat in repeats])))
    found: dict[tuple[int, int], Hop] = {}
    for index in range(len(times)):
        for hop in order.after(index):
            known = found.setdefault((hop.before, hop.after), hop)
            if known is not hop and _length(hop) < _length(known):
                found[hop.before, hop.after] = hop
    return [found[key] for key in sorted(found)]


def _counted(repeat: Repeat, at: Callable[[Fraction], int]) -> _Repeat:
    alternatives = tuple((at(start), at(end), volte) for start, end, volte in repeat.alternatives)
    return _Repeat(at(repeat.start), at(repeat.end), repeat.times, alternatives)


def _hop(before: int, after: int, spans: Sequence[tuple[int, int]]) -> Hop:
    return Hop(before, after, tuple((start, end) for start, end in spans if start < end))


def _length(hop: Hop) -> int:
    return sum(end - start for start, end in hop.spans)


def _nested(repeats: Sequence[_Repeat]) -> list[_Repeat]:
    """The distinct repeats with music in them, outer ones first, without those that lie across an earlier one."""
    kept: list[_Repeat] = []
    around: list[int] = []
    distinct = dict.fromkeys(repeat for repeat in repeats if repeat.start < _finish(repeat))
    for repeat in sorted(distinct, key=lambda one: (one.start, one.start - _finish(one), -one.times)):
        while around and around[-1] <= repeat.start:
            around.pop()
        if not around or _finish(repeat) <= around[-1]:
            kept.append(repeat)
            around.append(_finish(repeat))
    return kept


def _finish(repeat: _Repeat) -> int:
    return max(repeat.end, *(end for _, end, _ in repeat.alternatives), repeat.start)


def _parts(repeats: Sequence[_Repeat]) -> list[_Part]:
    """The parts of all repeats, outer ones first."""
    return [
        part for repeat in repeats for part in (_with_alternatives(repeat) if repeat.alternatives else _plain(repeat))
    ]


def _plain(repeat: _Repeat) -> list[_Part]:
    again = (repeat.start,) if repeat.times > 1 else ()
    return [_Part(repeat.start, repeat.end, again, True, repeat.end)]


def _with_alternatives(repeat: _Repeat) -> list[_Part]:
    """The last pass leaves by the alternative that is numbered highest; one alternative alone, not numbered for the
    last pass, is passed over then."""
    alternatives = _with_volte(repeat)
    first, last = alternatives[0][0], max(end for _, end, _ in alternatives)
    finish = _finish(repeat)
    final = max(volta for _, _, volte in alternatives for volta in volte)
    skips = len(alternatives) == 1 and final < repeat.times
    starts = [start for start, _, volte in alternatives if volte]
    leaves = last == finish
    parts = [
        _Part(repeat.start, first, (*starts, *((last,) if skips and not leaves else ())), skips and leaves, finish)
    ]
    for start, end, volte in alternatives:
        if leaves:
            again = skips or any(volta < final for volta in volte)
            parts.append(_Part(start, end, (repeat.start,) if again else (), final in volte and not skips, finish))
        else:
            parts.append(_Part(start, end, (last,), False, finish))
    if not leaves:
        parts.append(_Part(last, finish, (repeat.start,) if repeat.times > 1 else (), True, finish))
    return [part for part in parts if part.start < part.end]


def _with_volte(repeat: _Repeat) -> list[tuple[int, int, tuple[int, ...]]]:
    """Alternatives with the passes that they are played in; unnumbered, the first takes all that the others leave."""
    if any(volte for _, _, volte in repeat.alternatives):
        return list(repeat.alternatives)
    spare = max(repeat.times - len(repeat.alternatives), 0)
    numbered: list[tuple[int, int, tuple[int, ...]]] = []
    for index, (start, end, _) in enumerate(repeat.alternatives):
        # Two passes stand for any number of them: only whether a pass is the last one matters.
        numbered.append((start, end, (1, spare + 1) if index == 0 else (spare + index + 1,)))
    return numbered


class _Order:
    """Followers of stretches, for one list of times."""

    def __init__(self, times: Sequence[Counted], parts: Sequence[_Part]) -> None:
        self.times = times
        self.ending: dict[int, list[_Part]] = {}
        for part in reversed(parts):
            self.ending.setdefault(part.end, []).append(part)
        cuts = [cut for part in parts for cut in (part.start, part.end)]
        self.cuts = sorted({min([times[0][0], *cuts]), *cuts, max([times[-1][0], *cuts])})
        self.stretch_of = {cut: index for index, cut in enumerate(self.cuts)}
        self.first: dict[int, int] = {}
        self.stretches: list[int] = []
        stretch = 0
        for index, (moment, _) in enumerate(times):
            while stretch + 1 < len(self.cuts) and self.cuts[stretch + 1] <= moment:
                stretch += 1
            self.stretches.append(stretch)
            self.first.setdefault(stretch, index)
        self.firsts: dict[int, list[tuple[int, tuple[int, ...]]]] = {}

    def after(self, index: int) -> list[Hop]:
        """The hops from one time."""
        stretch, moment = self.stretches[index], self.times[index][0]
        if index + 1 < len(self.times) and self.stretches[index + 1] == stretch:
            then = self.times[index + 1][0]
            return [Hop(index, index + 1, ((moment, then),) if moment < then else ())]
        if stretch + 1 >= len(self.cuts):
            return []
        hops = []
        for follower, between in self._first_after(stretch):
            passed = [(self.cuts[one], self.cuts[one + 1]) for one in between[:-1]]
            last = (self.cuts[between[-1]], self.times[follower][0])
            hops.append(_hop(index, follower, [(moment, self.cuts[stretch + 1]), *passed, last]))
        return hops

    def _first_after(self, stretch: int) -> list[tuple[int, tuple[int, ...]]]:
        """The first times played after the end of a stretch, each with the stretches up to and including its own."""
        if stretch not in self.firsts:
            found: list[tuple[int, tuple[int, ...]]] = []
            seen: set[int] = set()
            waiting: list[tuple[int, ...]] = [(follower,) for follower in self._followers(stretch)]
            while waiting:
                path, *waiting = waiting
                if path[-1] in seen:
                    continue
                seen.add(path[-1])
                if path[-1] in self.first:
                    found.append((self.first[path[-1]], path))
                elif path[-1] + 1 < len(self.cuts):
                    waiting += [(*path, follower) for follower in self._followers(path[-1])]
            self.firsts[stretch] = found
        return self.firsts[stretch]

    def _followers(self, stretch: int) -> list[int]:
        """The stretches that may follow one, by the innermost part that ends with it, then by the parts around it."""
        start, at = self.cuts[stretch], self.cuts[stretch + 1]
        targets: list[int] = []
        left: list[_Part] = []
        while True:
            inner = (part for part in self.ending.get(at, ()) if part.start <= start and part not in left)
            part = next(inner, None)
            if part is None:
                targets.append(at)
                break
            left.append(part)
            targets += part.leads_to
            if not part.leaves:
                break
            at = part.behind
        return list(dict.fromkeys(self.stretch_of[target] for target in targets))
