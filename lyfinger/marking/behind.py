"""Digits behind chords: all of a chord together, which the typesetter prints as one column.

Inside a chord each digit is centred on its own head, so in a chord with a second two of them stand side by side and the
others over them. Behind the chord, ``<c' d' g'>4^4^3^1``, there is one column: the digit that is listed first is
nearest the heads, so the lowest note's comes first above the chord and the highest note's below it. Source: engraved
pages of LilyPond 2.25.12, looked at.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from ..score.model import Note, Score, SourceNote
from ..source.text import Place, SourceFile
from .digits import Digit, Stack, has_room
from .side import BESIDE, UP

Chord = dict[SourceNote, Note]
"""The source notes of a chord, as they are written, and a sounding of each."""


def behind_chords(digits: Iterable[Digit], scores: Iterable[Score]) -> dict[Place, Digit]:
    """The digits, with a place behind its chord for each that can stand there."""
    found = {digit.note: digit for digit in digits}
    for chord in _chords(scores, {place.file for place in found}):
        found.update(_stacked(chord, found))
    return found


def _chords(scores: Iterable[Score], files: set[SourceFile]) -> Iterator[Chord]:
    chords: dict[tuple[SourceFile, int], Chord] = {}
    for score in scores:
        for note in score.notes:
            source = note.source
            if source.chord is not None and source.place.file in files:
                chords.setdefault((source.place.file, source.chord), {}).setdefault(source, note)
    for chord in chords.values():
        yield dict(sorted(chord.items(), key=lambda item: item[0].place.offset))


def _stacked(chord: Chord, digits: Mapping[Place, Digit]) -> Iterator[tuple[Place, Digit]]:
    own = [digits.get(source.place) for source in chord]
    behind = {source.behind for source in chord}
    sides = {digit.side for digit in own if digit is not None}
    at = next(iter(behind))
    if len(chord) < 2 or None in own or len(behind) > 1 or at is None or len(sides) > 1 or BESIDE in sides:
        return
    if not has_room(next(iter(chord)).place.file, at):
        return
    strings = [note.pitch.string for note in chord.values()]
    order = sorted(range(len(chord)), key=strings.__getitem__, reverse=sides != {UP})
    for rank, index in enumerate(order):
        digit = own[index]
        if digit is not None:
            yield digit.note, digit._replace(stack=Stack(at, rank, len(chord)))
