"""What differs between two versions of a part, in musical terms: digits, and the notes that came or went.

The hands are laid beside each other as for digits that are kept (``alignment.py``), each with the one that is most
like it. Only what is written counts: no digit is worked out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from ..hands.model import Hand
from ..score.model import LockedDigit, Note, Score, SourceNote
from .alignment import Line, Names, aligned, likeness, line_of
from .passages import HandPassage


class Change(StrEnum):
    """What happened: a note has other digits, or it went, or it came."""

    DIGIT = "digit"
    NOTE_GONE = "note gone"
    NOTE_NEW = "note new"


@dataclass(frozen=True, slots=True)
class Spot:
    """A note of one version where it sounds first, its digits as written, and the bars in which it sounds again."""

    score: Score
    note: Note
    digits: tuple[str, ...]
    again: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Difference:
    """One difference; ``old`` or ``new`` is None where that version lacks the note."""

    change: Change
    hand: Hand
    old: Spot | None
    new: Spot | None

    @property
    def spot(self) -> Spot:
        """Where it is to be found: in the new version, unless it is gone from there."""
        found = self.new or self.old
        assert found is not None
        return found


def differences(old: Sequence[HandPassage], new: Sequence[HandPassage]) -> list[Difference]:
    """Every difference between two versions, in order of score, time and hand (right first).

    What is gone stands where it was, before what has come in its place. A note that is written once and sounds again
    counts once.
    """
    names: Names = {}
    before = [line_of(passage, names) for passage in old]
    after = [line_of(passage, names) for passage in new]
    placed: list[tuple[tuple[int, Fraction, bool, int], Difference]] = []
    for one, other in _matched(before, after):
        for rank, (moment, difference) in enumerate(_between(one, other)):
            line = other or one
            assert line is not None
            where = (line.passage.score.index, moment, difference.hand is Hand.LEFT, rank)
            placed.append((where, difference))
    return _once([difference for _, difference in sorted(placed, key=lambda item: item[0])])


def _matched(before: Sequence[Line], after: Sequence[Line]) -> Iterator[tuple[Line | None, Line | None]]:
    """The hands that belong together, the most alike first; then those that have no other."""
    ways = sorted(
        (
            (likeness(new, old), -there, -here)
            for here, old in enumerate(before)
            for there, new in enumerate(after)
            if old.passage.hand is new.passage.hand
        ),
        reverse=True,
    )
    left, right = set(range(len(before))), set(range(len(after)))
    for (_, common, _), there, here in ways:
        if common and -here in left and -there in right:
            left.discard(-here)
            right.discard(-there)
            yield before[-here], after[-there]
    yield from ((before[here], None) for here in sorted(left))
    yield from ((None, after[there]) for there in sorted(right))


def _between(old: Line | None, new: Line | None) -> Iterator[tuple[Fraction, Difference]]:
    """The differences of two hands in order, each with its moment, that of the new version as far as there is one."""
    pairs = aligned(old, new) if old and new else []
    here = there = 0
    moment = Fraction(0)
    for one, other in [*pairs, (len(old.sounds) if old else 0, len(new.sounds) if new else 0)]:
        gone = [_spot(old, index) for index in range(here, one)] if old else []
        come = [_spot(new, index) for index in range(there, other)] if new else []
        for spot in gone:
            yield moment if new else spot.note.moment, Difference(Change.NOTE_GONE, _hand(old), spot, None)
        for spot in come:
            moment = spot.note.moment
            yield moment, Difference(Change.NOTE_NEW, _hand(new), None, spot)
        if old and new and other < len(new.sounds):
            was, now = _spot(old, one), _spot(new, other)
            moment = now.note.moment
            if was.digits != now.digits:
                yield moment, Difference(Change.DIGIT, _hand(new), was, now)
        here, there = one + 1, other + 1


def _hand(line: Line | None) -> Hand:
    assert line is not None
    return line.passage.hand


def _spot(line: Line, index: int) -> Spot:
    score = line.passage.score
    notes = sorted((score.notes[number] for number in line.sounds[index].notes), key=lambda note: note.order)
    note = next((note for note in notes if note.source.locked), notes[0])
    return Spot(score, note, tuple(_written(digit) for digit in note.source.locked))


def _written(digit: LockedDigit) -> str:
    """The digit's text; the sign of the thumb is a 1."""
    return "1" if digit.text == "thumb" else digit.text


def _once(found: Iterable[Difference]) -> list[Difference]:
    """One difference for each source note, with the bars where it sounds again."""
    first: dict[tuple[Change, SourceNote | None, SourceNote | None], int] = {}
    kept: list[Difference] = []
    for item in found:
        key = (item.change, item.old.note.source if item.old else None, item.new.note.source if item.new else None)
        if key in first:
            kept[first[key]] = _also(kept[first[key]], item.spot)
        else:
            first[key] = len(kept)
            kept.append(item)
    return kept


def _also(difference: Difference, other: Spot) -> Difference:
    number = other.score.bar_number(other.note)
    spot = difference.spot
    if number is None or number in (spot.score.bar_number(spot.note), *spot.again):
        return difference
    longer = replace(spot, again=(*spot.again, number))
    return replace(difference, new=longer) if difference.new else replace(difference, old=longer)
