"""Slides and crossings: where the answers have them, and the signs for them at the digits.

A slide is drawn by the typesetter's own ``\\glide``, a line from one digit to the same digit of the next note of the
voice; so both digits are printed, and a slide that can't be drawn so (into another voice, from a note that does not
slide in each of its soundings) gets none. A crossing is an arc at the digit of the crossing finger: under it for a
crossing under, over it for one over. For slides the line is published (the typesetter's notation reference); for
crossings the trade has no sign that we know of, so this one is ours. Which moves they are the rules of the search say.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ..fingering.figure_rules import cross_over, cross_under, slide, slide_up
from ..fingering.model import all_known
from ..fingering.views import Move
from ..score.model import LockedDigit, Note, Score, SourceNote
from ..source.edits import Insertion
from ..source.text import Place
from .brackets import Texts
from .digits import Digit
from .forms import GLIDE, Crossing, is_dealt_out

if TYPE_CHECKING:
    from .plan import SolvedPassage

_PLAIN = re.compile(r"[-^_]\s*[1-4]")
"""A digit that can take signs: with anything else of its own, it is the user's in its form too."""

Slides = Mapping[SourceNote, SourceNote]
Crossings = Mapping[SourceNote, Crossing]


class _Passing(NamedTuple):
    """From an onset of a passage to the next one, with no free lift between."""

    item: SolvedPassage
    before: int
    after: int

    def view(self) -> Move | None:
        """What the rules look at; None where a string has no finger."""
        onsets, fingers = self.item.part.passage.onsets, self.item.answer.fingers
        first, second = (all_known(fingers[index]) for index in (self.before, self.after))
        if first is None or second is None:
            return None
        base = onsets[self.before].strings[0]
        strings = (tuple(string - base for string in onsets[index].strings) for index in (self.before, self.after))
        return Move(next(strings), first, next(strings), second, haste=0, glide=onsets[self.before].glissando)

    def notes(self, onset: int, string: int) -> list[Note]:
        part = self.item.part
        return [part.score.notes[index] for index in part.notes[onset][string]]


def _passings(passages: Iterable[SolvedPassage]) -> Iterator[tuple[_Passing, Move]]:
    for item in passages:
        steps = {(step.before, step.after) for step in item.part.passage.steps}
        for after in range(1, len(item.part.notes)):
            passing = _Passing(item, after - 1, after)
            if after not in item.answer.lifts and (after - 1, after) in steps and (move := passing.view()):
                yield passing, move


def slides(passages: Sequence[SolvedPassage], scores: Iterable[Score]) -> Slides:
    """Source notes whose finger slides to another one, in every sounding, and that the typesetter can join."""
    scores = list(scores)
    voices = {score: _Voices(score) for score in scores}
    found: dict[SourceNote, list[SourceNote]] = {}
    for passing, move in _passings(passages):
        if slide(move) or slide_up(move):
            ones, others = passing.notes(passing.before, 0), passing.notes(passing.after, 0)
            own = voices[passing.item.part.score]
            if len(ones) == len(others) == 1 and own.are_neighbours(ones[0], others[0]):
                found.setdefault(ones[0].source, []).append(others[0].source)
    soundings = Counter(note.source for score in scores for note in score.notes if note.plucked)
    dealt = {file for file in {one.place.file for one in found} if is_dealt_out(file)}
    return {
        one: to[0]
        for one, to in found.items()
        if len(set(to)) == 1 and len(to) == soundings[one] and one.place.file not in dealt
    }


class _Voices:
    """The plucked notes of each voice of a score, in order of time."""

    def __init__(self, score: Score) -> None:
        self._notes: dict[int, list[Note]] = {}
        for note in score.notes:
            if note.plucked:
                self._notes.setdefault(note.voice, []).append(note)
        for notes in self._notes.values():
            notes.sort(key=lambda note: (note.moment, note.grace))
        self._index = {note.order: at for notes in self._notes.values() for at, note in enumerate(notes)}

    def are_neighbours(self, one: Note, other: Note) -> bool:
        """Whether two notes follow each other in a voice, with no other note of it beside them or between."""
        notes, at = self._notes[one.voice], self._index[one.order]
        around = notes[max(at - 1, 0) : at + 3]
        times = [(note.moment, note.grace) for note in around]
        alone = times.count((one.moment, one.grace)) == times.count((other.moment, other.grace)) == 1
        return one.voice == other.voice and alone and self._index[other.order] == at + 1


def crossings(passages: Sequence[SolvedPassage]) -> Crossings:
    """Source notes that a finger comes to by crossing, the same way wherever they are plucked."""
    crossed: dict[tuple[int, int], Crossing] = {}
    for passing, move in _passings(passages):
        for crossing, rule, way in ((Crossing.UNDER, cross_under, 1), (Crossing.OVER, cross_over, -1)):
            if rule(move):
                for note in passing.notes(passing.after, _crossing_string(move, way)):
                    crossed[id(passing.item), note.order] = crossing
    found: dict[SourceNote, set[Crossing | None]] = {}
    for item in passages:
        for onset in item.part.notes:
            for note in (item.part.score.notes[index] for string in onset for index in string):
                found.setdefault(note.source, set()).add(crossed.get((id(item), note.order)))
    return {source: one for source, ways in found.items() if len(ways) == 1 and (one := next(iter(ways)))}


def _crossing_string(move: Move, way: int) -> int:
    """The string (an index, low to high) of the finger that crosses: of several the furthest, 4 going up, 1 down."""
    crossing = (
        at
        for at, (new, finger) in enumerate(zip(move.after, move.after_fingers, strict=True))
        if any(
            (new - old) * way > 0 and (finger - held) * way > 0
            for old, held in zip(move.before, move.before_fingers, strict=True)
        )
    )
    return max(crossing, key=lambda at: move.after_fingers[at] * way)


class Signed(NamedTuple):
    """The new digits with their signs, and what goes into digits that stand in the source."""

    digits: dict[Place, Digit]
    texts: Texts


def signed(
    digits: Mapping[Place, Digit], slides: Slides, crossings: Crossings, selected: Collection[SourceNote]
) -> Signed:
    """Digits with the signs of their slides and crossings; only digits of ``selected`` notes get any.

    A digit that begins a slide gets no arc: the typesetter joins plain digits alone. Nor does one beside the heads of a
    chord, where the arc has no room.
    """
    new, texts = dict(digits), Texts()

    def is_plain(source: SourceNote) -> bool:
        return source.place in digits or (_lone_digit(source) is not None)

    sliding = {one for one, to in slides.items() if is_plain(one) and is_plain(to) and {one, to} <= set(selected)}
    held = {note for one in slides if one in sliding for note in (one, slides[one])}
    for source in sliding:
        _put(source, (GLIDE, "", ""), new, texts)
    for source, crossing in crossings.items():
        if source in selected and source not in held and is_plain(source) and not _is_beside(source, new):
            _put(source, ("", *crossing.around), new, texts)
    return Signed(new, texts)


def _is_beside(source: SourceNote, new: Mapping[Place, Digit]) -> bool:
    """Whether a digit stands in a chord and says no side, so that it may stand beside the heads."""
    digit = _lone_digit(source)
    sign = new[source.place].plain[0] if digit is None else digit.place.file.text[digit.place.offset]
    return source.chord is not None and sign == "-"


def _lone_digit(source: SourceNote) -> LockedDigit | None:
    """The digit that stands at a note, if it is a plain one, at that note alone and without a sign."""
    if len(source.locked) != 1 or source.locked[0].behind_chord:
        return None
    digit = source.locked[0]
    return digit if _PLAIN.fullmatch(digit.place.file.text[digit.place.offset : digit.end]) else None


def _put(source: SourceNote, signs: tuple[str, str, str], new: dict[Place, Digit], texts: Texts) -> None:
    if source.place in new:
        new[source.place] = new[source.place]._replace(signs=signs)
        return
    digit = _lone_digit(source)
    if digit is None or digit.glide is not None:
        return
    offsets = (digit.place.offset, digit.end - 1, digit.end)
    found = [Insertion(offset, text) for offset, text in zip(offsets, signs, strict=True) if text]
    texts.setdefault(digit.place.file, []).extend(found)
