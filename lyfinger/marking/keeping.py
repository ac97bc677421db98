"""Digits of an earlier marking, found again in a revised part.

What is the same note in both (``alignment.py``) has a digit to keep: a note that has changed is fingered afresh, and so
is a bar that has less than half of its notes in common with the old one. That a digit means something only where its
figure is still there is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from ..fingering.model import Onset
from ..fingering.problems import options, problem_of
from ..harp.reach import Reach
from ..source.messages import Message, Severity
from .alignment import Names, aligned, line_of, most_alike
from .passages import HandPassage


class Kept(NamedTuple):
    """The finger that each key (source note) had in an earlier marking, and the passages that they come from."""

    fingers: Mapping[int, int]
    sources: frozenset[int]


def kept_digits(passages: Sequence[HandPassage], earlier: Sequence[HandPassage]) -> Kept:
    """What the passages of a run have in common with those of earlier markings, whose digits stand there as locks.

    Where two passages of the run share a source note, the first one says what it keeps; ``sources`` are indices into
    ``earlier``.
    """
    names: Names = {}
    lines = [line_of(passage, names) for passage in earlier]
    old = {index: line for index, line in enumerate(lines) if any(sound.finger for sound in line.sounds)}
    kept: dict[int, int] = {}
    sources: set[int] = set()
    for passage in passages:
        line = line_of(passage, names)
        index = most_alike(line, old)
        for here, there in aligned(old[index], line) if index is not None else ():
            finger = lines[index].sounds[here].finger if index is not None else None
            if finger is not None and index is not None:
                kept.setdefault(line.sounds[there].key, finger)
                sources.add(index)
    return Kept(kept, frozenset(sources))


def with_kept(passage: HandPassage, kept: Mapping[int, int], reach: Reach) -> HandPassage:
    """The passage with its kept digits; without those that are locked by now, or that no hand could take."""
    onsets = (_with_kept(onset, kept, reach) for onset in passage.passage.onsets)
    return passage._replace(passage=passage.passage._replace(onsets=tuple(onsets)))


def _with_kept(onset: Onset, kept: Mapping[int, int], reach: Reach) -> Onset:
    if not any(key in kept for key in onset.keys) or problem_of(onset, 0, reach) is not None:
        return onset
    possible = [set(fingers) for fingers in zip(*options(onset, reach), strict=True)]
    fingers = tuple(
        finger if lock is None and (finger := kept.get(key)) in ways else None
        for key, lock, ways in zip(onset.keys, onset.locks, possible, strict=True)
    )
    return onset._replace(kept=fingers) if any(fingers) else onset


def given_way(part: HandPassage, fingers: Sequence[tuple[int | None, ...]]) -> Iterator[Message]:
    """One warning for all digits of a hand that could have been kept and are not, at the first of them."""
    changed = [
        (index, kept, finger)
        for index, (onset, own) in enumerate(zip(part.passage.onsets, fingers, strict=True))
        for kept, finger in zip(onset.kept, own, strict=False)
        if kept is not None and finger is not None and kept != finger
    ]
    if changed:
        index, kept, finger = changed[0]
        note = part.first(index)
        others = f", and {len(changed) - 1} more in this hand" if len(changed) > 1 else ""
        text = f"a digit of the earlier marking gives way: {finger} instead of {kept}{others}"
        yield Message(Severity.WARNING, note.source.place, text, "kept-digit", bar=part.score.bar_number(note))
