"""Digits behind chords: all of a chord together, which the typesetter prints as one column.

Inside a chord each digit is centred on its own head, so in a chord with a second two of them stand side by side and the
others over them: the digits of such a chord go behind it even where those of others stay inside. Behind the chord,
``<c' d' g'>4^4^3^1``, there is one column: the digit that is listed first is nearest the heads, so the lowest note's
comes first above the chord and the highest note's below it. Source: engraved pages of LilyPond 2.25.12, looked at.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from operator import itemgetter

from ..score.model import Note, Reading, SourceNote
from ..source.text import Place, SourceFile
from .digits import Digit, Stack, has_room
from .side import BESIDE, UP

LOOSE_DIGITS = "digits-behind-chord"
"""The name of the reading's warning about digits behind a chord that are not one for each note."""

Chord = dict[SourceNote, Note]
"""The source notes of a chord, as they are written, and a sounding of each."""


def behind_chords(digits: Iterable[Digit], readings: Sequence[Reading], *, every: bool) -> dict[Place, Digit]:
    """The digits, with a place behind its chord for each that can stand there: of ``every`` chord, or of those alone
    that have a second."""
    found = {digit.note: digit for digit in digits}
    chords = _chords(readings, {place.file for place in found})
    taken = _taken(readings, chords)
    for chord in chords:
        if (every or _has_second(chord)) and not taken.intersection(chord):
            found.update(_stacked(chord, found))
    return found


def _taken(readings: Iterable[Reading], chords: Iterable[Chord]) -> set[SourceNote]:
    """The first notes of chords behind which digits stand that belong to no note: ours would be read with them."""
    loose = {item.place for reading in readings for item in reading.messages if item.rule == LOOSE_DIGITS}
    ends: dict[SourceFile, list[tuple[int, SourceNote]]] = {}
    for source in (next(iter(chord)) for chord in chords) if loose else ():
        if source.behind is not None:
            ends.setdefault(source.place.file, []).append((source.behind, source))
    before = ([pair for pair in ends.get(place.file, ()) if pair[0] <= place.offset] for place in loose)
    return {max(pairs, key=itemgetter(0))[1] for pairs in before if pairs}


def _has_second(chord: Chord) -> bool:
    """Whether two heads of a chord stand on either side of its stem."""
    strings = {note.pitch.string for note in chord.values()}
    return any(string + 1 in strings for string in strings)


def _chords(readings: Iterable[Reading], files: set[SourceFile]) -> list[Chord]:
    """The chords in some files; as notes are read, those of a chord are in the order of the source."""
    chords: dict[tuple[SourceFile, int], Chord] = {}
    for score in (score for reading in readings for score in reading.scores if score.printed):
        for note in score.notes:
            source = note.source
            if source.chord is not None and source.place.file in files:
                chords.setdefault((source.place.file, source.chord), {}).setdefault(source, note)
    return list(chords.values())


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
