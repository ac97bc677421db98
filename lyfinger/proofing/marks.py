"""From the boxes on the engraved pages to the digits and the notes that they show."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import accumulate

from ..marking.digits import Digit, edits_of, gathered
from ..marking.plan import Plan
from ..score.model import Note, SourceNote
from ..source.edits import Insertion
from ..source.text import Place, SourceFile
from .engraving import Spot
from .figures import Figure

_SAME_SYSTEM = 60.0
"""Points by which boxes of one source note differ in height where they stand in one system."""


class Kind(StrEnum):
    """What a digit is: planned and put in, planned and not printed at this density, or standing in the source."""

    SUGGESTED = "suggested"
    SILENT = "silent"
    LOCKED = "locked"


@dataclass(frozen=True, slots=True)
class Shown:
    """A digit of the page: its source note, its text, what it is, the insertion that it is (none if locked), and the
    figures (indices) that its note sounds in, in order of time."""

    source: SourceNote
    text: str
    kind: Kind
    digit: Digit | None
    figures: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """A digit (index) at a spot, in a figure (index, if it is in one), and which of its notes (index) it is."""

    spot: Spot
    digit: int
    figure: int | None
    note: int | None


def shown_digits(plan: Plan, figures: Sequence[Figure]) -> list[Shown]:
    """The digits of a plan, score by score in order of time, each once."""
    sounding: dict[SourceNote, list[int]] = {}
    for index, figure in enumerate(figures):
        for source in dict.fromkeys(figure.sources):
            sounding.setdefault(source, []).append(index)
    notes: Iterable[Note] = (note for score in plan.scores for note in score.notes if note.plucked)
    sources = dict.fromkeys(note.source for note in notes)
    return [digit for source in sources for digit in _digits(plan, source, tuple(sounding.get(source, ())))]


def _digits(plan: Plan, source: SourceNote, figures: tuple[int, ...]) -> Iterator[Shown]:
    for locked in source.locked:
        yield Shown(source, locked.text, Kind.LOCKED, None, figures)
    planned = plan.planned(source.place)
    if planned is not None and not source.locked and source.unmarkable is None:
        kind = Kind.SUGGESTED if source.place in plan.digits else Kind.SILENT
        yield Shown(source, str(planned.finger), kind, planned, figures)


class Places:
    """Where notes and digits of the source stand in the text that all planned digits, and ``texts``, were put into."""

    def __init__(self, digits: Iterable[Digit], texts: Mapping[SourceFile, Sequence[Insertion]]) -> None:
        edits = edits_of(digits := list(digits), texts)
        self._movers = {file: item.mover() for file, item in edits.items()}
        self._returners = {file: item.returner() for file, item in edits.items()}
        self._lengths = {(file, one.offset): len(one.text) for file, item in edits.items() for one in item.insertions}
        self._starts = dict(_starts(digits))

    def moved(self, file: SourceFile, offset: int) -> int:
        """Where the character at an offset of the source stands in the marked text."""
        mover = self._movers.get(file)
        return mover(offset) if mover else offset

    def back(self, file: SourceFile, offset: int) -> int:
        """Where the character at an offset of the marked text stands in the source; of an insertion, the one behind."""
        returner = self._returners.get(file)
        return returner(offset) if returner else offset

    def digit(self, digit: Digit) -> int:
        """Where an inserted digit begins in the marked text."""
        offset, before = self._starts[digit.note]
        file = digit.note.file
        return self.moved(file, offset) - self._lengths[file, offset] + before


def _starts(digits: Iterable[Digit]) -> Iterator[tuple[Place, tuple[int, int]]]:
    """For each digit the offset at which it goes in, and how much goes in there before it."""
    for offset, found in gathered(digits):
        lengths = accumulate((len(digit.text) for digit in found), initial=0)
        for digit, before in zip(found, lengths, strict=False):
            yield digit.note, (offset, before)


def marks(shown: Sequence[Shown], spots: Sequence[Spot], places: Places, figures: Sequence[Figure]) -> list[Mark]:
    """The spots that show digits, page by page, figure by figure, and there in order of time, from low to high."""
    at = dict(_by_offset(shown, places))
    found: dict[int, list[Spot]] = {}
    for spot in spots:
        index = at.get((spot.file, spot.offset))
        if index is not None:
            found.setdefault(index, []).append(spot)
    result = [mark for index, own in found.items() for mark in _sounded(index, shown[index], own, figures)]
    # what is in no figure follows the figure of the digit before it
    latest = list(accumulate((max(one.figures[:1], default=-1) for one in shown), max))

    def order(mark: Mark) -> tuple[int, int, bool, int]:
        if mark.figure is None or mark.note is None:
            return mark.spot.box.page, latest[mark.digit], True, mark.digit
        return mark.spot.box.page, mark.figure, False, mark.note

    return sorted(result, key=order)


def _by_offset(shown: Sequence[Shown], places: Places) -> Iterator[tuple[tuple[SourceFile, int], int]]:
    ranks: dict[SourceNote, int] = {}
    for index, one in enumerate(shown):
        file = one.source.place.file
        if one.digit is not None:
            yield (file, places.digit(one.digit)), index
            continue
        rank = ranks[one.source] = ranks.get(one.source, -1) + 1
        locked = one.source.locked[rank]
        begin, end = (places.moved(locked.place.file, offset) for offset in (locked.place.offset, locked.end))
        for offset in range(begin, end):
            yield (locked.place.file, offset), index


def _sounded(index: int, one: Shown, spots: Sequence[Spot], figures: Sequence[Figure]) -> Iterator[Mark]:
    """Each spot with the note of a figure that it shows; the first one for all where their numbers differ."""
    notes = [
        (figure, note)
        for figure in one.figures
        for note, source in enumerate(figures[figure].sources)
        if source is one.source
    ]
    ordered = _in_reading_order(spots)
    each = len(notes) == len(ordered)
    for number, spot in enumerate(ordered):
        figure, note = notes[number if each else 0] if notes else (None, None)
        yield Mark(spot, index, figure, note)


def _in_reading_order(spots: Sequence[Spot]) -> list[Spot]:
    ordered = sorted(spots, key=lambda spot: (spot.box.page, spot.box.y))
    systems: list[list[Spot]] = []
    for spot in ordered:
        last = systems[-1][-1].box if systems else None
        if last is None or last.page != spot.box.page or spot.box.y - last.y > _SAME_SYSTEM:
            systems.append([])
        systems[-1].append(spot)
    return [spot for system in systems for spot in sorted(system, key=lambda spot: spot.box.x)]


def note_spots(spots: Iterable[Spot], places: Places, wanted: Iterable[Place]) -> Mapping[Place, Spot]:
    """The first spot of each wanted note."""
    by_offset: dict[tuple[SourceFile, int], Spot] = {}
    for spot in spots:
        by_offset.setdefault((spot.file, spot.offset), spot)
    found = {place: by_offset.get((place.file, places.moved(place.file, place.offset))) for place in wanted}
    return {place: spot for place, spot in found.items() if spot is not None}
