"""Two versions of a hand's music laid beside each other: which note of the one is which of the other.

Each hand of each score is laid beside the same hand of the other version that has most in common with it. Bars are
paired first, in order, so that as many notes as can be stand at the same place of their bar on the same string for
the same time; what then is left over (notes pushed on in their bar, music barred anew) is paired by the time since
the onset before. Only such exact matches are the same note; a bar that has less than half of its notes in common with
the other one has none. Where less than a quarter of a hand's notes is found again, it is another piece. The shares are
ours.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from difflib import SequenceMatcher
from fractions import Fraction
from itertools import groupby, pairwise
from typing import NamedTuple

from .passages import HandPassage

Bar = frozenset[int]
Pairs = list[tuple[int, int]]
Names = dict[tuple[Fraction, Fraction, int, Fraction], int]
"""A number for each (time, grace, string, duration) that was met: equal ones have the same."""

#: The fewest notes running that are taken for the same figure where the bars don't say so.
_FIGURE = 4


class Sound(NamedTuple):
    """One string struck. ``place`` and ``step`` are names, with the time counted from the bar line (as the staff counts
    in which the hand begins) and from the onset before; ``key`` is the source note, ``finger`` its digit, ``notes`` are
    the indices of what sounds there."""

    bar: int
    place: int
    step: int
    key: int
    finger: int | None
    notes: tuple[int, ...]


class Line(NamedTuple):
    """All that a hand strikes, in order of time, and its bars: the stretches of ``sounds`` with their places."""

    passage: HandPassage
    sounds: tuple[Sound, ...]
    bars: tuple[tuple[range, Bar], ...]


def line_of(passage: HandPassage, names: Names) -> Line:
    """What a hand strikes; all that is to be compared needs the same ``names``, which are added to."""
    sounds = tuple(_sounds(passage, names))
    stretches = groupby(range(len(sounds)), key=lambda index: sounds[index].bar)
    bars = [list(indices) for _, indices in stretches]
    return Line(
        passage,
        sounds,
        tuple((range(bar[0], bar[-1] + 1), frozenset(sounds[index].place for index in bar)) for bar in bars),
    )


def _sounds(passage: HandPassage, names: Names) -> Iterator[Sound]:
    bars = passage.score.bars_of(passage.first(0).staff) if passage.notes else []
    starts = [bar.start for bar in bars]
    last = Fraction(0)
    for onset, strings in zip(passage.passage.onsets, passage.notes, strict=True):
        for string, indices, key, finger in zip(onset.strings, strings, onset.keys, onset.locks, strict=True):
            note = min((passage.score.notes[index] for index in indices), key=lambda note: note.order)
            bar = max(bisect_right(starts, note.moment) - 1, 0)
            line = bars[bar].start - bars[bar].position if bars else Fraction(0)
            rest = (note.grace, string, note.duration)
            place = names.setdefault((note.moment - line, *rest), len(names))
            step = names.setdefault((note.moment - last, *rest), len(names))
            yield Sound(bar, place, step, key, finger, indices)
        last = passage.score.notes[strings[0][0]].moment


def most_alike(line: Line, old: Mapping[int, Line]) -> int | None:
    """The same hand that is most like a line; of equals the first."""
    same_hand = [index for index, other in old.items() if other.passage.hand is line.passage.hand]
    if len(same_hand) < 2:
        return next(iter(same_hand), None)
    return max(same_hand, key=lambda index: likeness(line, old[index]))


def likeness(line: Line, other: Line) -> tuple[int, int, int]:
    """How many notes two lines have in bars that are quite the same, then how many at the same place of some bar."""
    same = Counter(bar for _, bar in line.bars) & Counter(bar for _, bar in other.bars)
    near = Counter(sound.place for sound in line.sounds) & Counter(sound.place for sound in other.sounds)
    return sum(len(bar) * times for bar, times in same.items()), near.total(), -len(other.sounds)


def aligned(old: Line, new: Line) -> Pairs:
    """Pairs of the same note in both, ascending in both; none where it is another piece."""
    pairs: Pairs = []
    for before, now in _paired_bars(old, new):
        if not _common(old.bars[before][1], new.bars[now][1]):
            continue
        there = {old.sounds[index].place: index for index in old.bars[before][0]}
        for index in new.bars[now][0]:
            found = there.get(new.sounds[index].place)
            if found is not None:
                pairs.append((found, index))
    pairs = sorted([*pairs, *_left_over(old, new, pairs)])
    return pairs if 4 * len(pairs) >= min(len(old.sounds), len(new.sounds)) else []


def _paired_bars(old: Line, new: Line) -> Pairs:
    """The bars that belong together, ends that are the same first: only what lies between has to be searched."""
    before, now = [bar for _, bar in old.bars], [bar for _, bar in new.bars]
    head, tail = _same_ends(before, now)
    middle = _best_pairs(before[head : len(before) - tail], now[head : len(now) - tail])
    return [
        *((index, index) for index in range(head)),
        *((head + here, head + there) for here, there in middle),
        *((len(before) - index, len(now) - index) for index in range(tail, 0, -1)),
    ]


def _same_ends(old: Sequence[object], new: Sequence[object]) -> tuple[int, int]:
    """How many items are the same at the beginning, and how many of the others at the end."""
    shorter = min(len(old), len(new))
    head = next((i for i in range(shorter) if old[i] != new[i]), shorter)
    return head, next((i for i in range(shorter - head) if old[-1 - i] != new[-1 - i]), shorter - head)


def _best_pairs(old: Sequence[Bar], new: Sequence[Bar]) -> Pairs:
    """Pairs in order with most notes in common; a bar that was written anew stands for the one that it replaces."""
    best = [[0] * (len(new) + 1) for _ in range(len(old) + 1)]
    for i in range(len(old) - 1, -1, -1):
        row, below = best[i], best[i + 1]
        for j in range(len(new) - 1, -1, -1):
            row[j] = max(below[j + 1] + _common(old[i], new[j]), below[j], row[j + 1])
    pairs, i, j = [], 0, 0
    while i < len(old) and j < len(new):
        if best[i][j] == best[i + 1][j + 1] + _common(old[i], new[j]):
            pairs.append((i, j))
            i, j = i + 1, j + 1
        elif best[i][j] == best[i + 1][j]:
            i += 1
        else:
            j += 1
    return pairs


def _common(old: Bar, new: Bar) -> int:
    """How many notes two bars share; none unless it is half of them."""
    shared = len(old & new)
    return shared if 2 * shared >= max(len(old), len(new)) else 0


def _left_over(old: Line, new: Line, pairs: Pairs) -> Iterator[tuple[int, int]]:
    """Notes between two pairs that follow the onset before them as they did."""
    ends = [(-1, -1), *pairs, (len(old.sounds), len(new.sounds))]
    for (i, j), (k, m) in pairwise(ends):
        if k - i > _FIGURE and m - j > _FIGURE:
            before = [sound.step for sound in old.sounds[i + 1 : k]]
            now = [sound.step for sound in new.sounds[j + 1 : m]]
            for here, there, size in _blocks(before, now):
                if size >= _FIGURE:
                    yield from ((i + 1 + here + n, j + 1 + there + n) for n in range(size))


def _blocks(old: list[int], new: list[int]) -> Iterator[tuple[int, int, int]]:
    """Stretches that are the same in both, in order: (where in the old, where in the new, how long).

    Between ends that are the same, difflib looks for them. In a long stretch it takes no note that occurs very often
    for the beginning of a match (its ``autojunk``), which keeps the time within bounds.
    """
    head, tail = _same_ends(old, new)
    yield 0, 0, head
    middle = SequenceMatcher(None, old[head : len(old) - tail], new[head : len(new) - tail])
    yield from ((head + block.a, head + block.b, block.size) for block in middle.get_matching_blocks())
    yield len(old) - tail, len(new) - tail, tail
