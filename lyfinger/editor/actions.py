"""What can be done at a place: insert digits, take other ones, clear those that stand there; all as edits by offset."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..explaining.places import Stretch, Unfingered, around
from ..explaining.reasons import explained
from ..explaining.words import line_of, points
from ..fingering.alternatives import Choice
from ..marking.clearing import held_fast
from ..marking.digits import Digit, gathered
from ..marking.forms import digit_start
from ..score.model import Note, SourceNote
from ..source.messages import Refused
from ..source.text import Place, SourceFile
from .analysis import Analysis

MOST_WORK = 10_000
"""What looking for other fingerings may take, as :func:`explained` counts it: a few tenths of a second."""


@dataclass(frozen=True, slots=True)
class TextChange:
    """Characters from ``start`` to ``end`` (offsets) of a file, and what stands in their place."""

    file: SourceFile
    start: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class Action:
    """Something to choose from a list. ``whole`` is True where it is about a whole file and not about a place."""

    title: str
    changes: tuple[TextChange, ...]
    whole: bool = False


def actions(known: Analysis, file: SourceFile, start: int, end: int) -> list[Action]:
    """What can be done with the notes from offset ``start`` to ``end`` of a file; at the note there if these are one.

    Digits that stand in the source are never changed, but by the actions that clear them.
    """
    found: list[Action] = []
    if start == end:
        found += _at(known, Place(file, start))
    else:
        chosen = [digit for digit in _digits_of(known, file) if start <= digit.note.offset < end]
        found += _insert("Insert the fingering of the selection", chosen)
        found += _clear("Clear the fingering of the selection", _sources(known, file, start, end))
    found += _insert(f"Insert every digit of {os.path.basename(file.name)}", _digits_of(known, file), whole=True)
    return found


def _at(known: Analysis, place: Place) -> Iterator[Action]:
    try:
        near = around(known.plan, known.phrases, known.root, place)
    except Refused:
        return
    if isinstance(near, Unfingered):
        return
    phrase = near.phrase
    onsets = _placing_at(near, place)
    best = phrase.answers.best(phrase.group)
    here = [source for source in _stretch_sources(near, onsets) if _stands_at(source, place)]
    if len(onsets) > 1 or len(phrase.strings(onsets[0])) > 1:
        digits = list(_wanted(known, near, onsets, best))
        yield from _insert(f"Insert this placing's fingering: {_line(near, best, onsets)}", digits)
    one = [digit for digit in known.plan.digits.values() if any(digit.note == source.place for source in here)]
    yield from _insert(f"Insert this note's digit: {one[0].finger}" if one else "", one)
    whole = range(phrase.chain.onsets[0], phrase.chain.onsets[-1] + 1)
    if len(whole) > len(onsets):
        yield from _insert("Insert this phrase's fingering", _wanted(known, near, whole, best))
    yield from _others(known, near, onsets)
    yield from _clear("Clear this note's digit", here)
    if len(onsets) > 1 or len(phrase.strings(onsets[0])) > 1:
        yield from _clear("Clear this placing's digits", _stretch_sources(near, onsets))


def _others(known: Analysis, near: Stretch, onsets: range) -> Iterator[Action]:
    for other in explained(Stretch(near.phrase, onsets), MOST_WORK).others or ():
        title = f"Take instead: {_line(near, other.choice, onsets)} ({points(other.more)})"
        yield from _insert(title, _wanted(known, near, onsets, other.choice))


def _line(near: Stretch, choice: Choice, onsets: range) -> str:
    return line_of(near.phrase, choice, onsets)


def _placing_at(near: Stretch, place: Place) -> range:
    """The onsets of the placing that the note at a place is in."""
    placings = near.phrase.answers.best(near.phrase.group).placings
    groups = list(near.phrase.placings(placings, near.onsets))
    for group in groups:
        if any(_stands_at(source, place) for source in _stretch_sources(near, group)):
            return group
    return groups[0]


def _stands_at(source: SourceNote, place: Place) -> bool:
    begin = source.place.offset if source.chord is None else source.chord
    return source.place.file is place.file and (
        source.place.offset <= place.offset < _word_end(source) or begin == place.offset
    )


def _word_end(source: SourceNote) -> int:
    return max([source.insert_at, source.place.offset + 1, *(digit.end for digit in source.locked)])


def _stretch_sources(near: Stretch, onsets: range) -> list[SourceNote]:
    score = near.phrase.part.score
    indices = (index for onset in onsets for string in near.phrase.strings(onset) for index in string)
    return list(dict.fromkeys(score.notes[index].source for index in indices))


def _wanted(known: Analysis, near: Stretch, onsets: range, choice: Choice) -> Iterator[Digit]:
    """The digits that a fingering needs in the source: where none stands yet, and one can be."""
    notes = near.phrase.part.score.notes
    for onset in onsets:
        for indices, finger in zip(near.phrase.strings(onset), choice.fingers[onset], strict=True):
            for index in indices:
                planned = known.plan.planned(notes[index].source.place)
                if planned is not None and finger is not None:
                    yield planned._replace(finger=finger)


def _digits_of(known: Analysis, file: SourceFile) -> list[Digit]:
    return [digit for digit in known.plan.digits.values() if digit.note.file is file]


def _sources(known: Analysis, file: SourceFile, start: int, end: int) -> list[SourceNote]:
    notes: Iterable[Note] = (note for score in known.root.scores for note in score.notes)
    found = (note.source for note in notes if note.source.place.file is file)
    return list(dict.fromkeys(source for source in found if start <= source.place.offset < end))


def _insert(title: str, digits: Iterable[Digit], *, whole: bool = False) -> Iterator[Action]:
    changes = [
        TextChange(found[0].note.file, offset, offset, "".join(digit.plain for digit in found))
        for offset, found in gathered(digits)
    ]
    if changes:
        yield Action(title, _ordered(changes), whole)


def _clear(title: str, sources: Collection[SourceNote]) -> Iterator[Action]:
    held = held_fast(sources)
    changes = [
        TextChange(digit.place.file, digit_start(digit), digit.end, "")
        for source in sources
        if source not in held
        for digit in source.locked
    ]
    if changes:
        yield Action(title, _ordered(changes))


def _ordered(changes: Sequence[TextChange]) -> tuple[TextChange, ...]:
    """Each change once, by place in its file."""
    once: Mapping[tuple[int, int, int], TextChange] = {
        (id(change.file), change.start, change.end): change for change in changes
    }
    return tuple(sorted(once.values(), key=lambda change: (change.file.name, change.start)))
