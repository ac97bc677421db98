"""Placing brackets, and what the typesetter must be told at the head of a score for them and for digits left of chords.

A placing is bracketed as the trade does it (published: Melody's Traditional Music, *Brackets and Placing*), by the
typesetter's own analysis brackets: ``\\startGroup`` at its first note, ``\\stopGroup`` at its last, on the side of the
digits. LilyPond draws them only with an engraver that no voice has by itself, so the score itself asks for it, in
front of its first character and without a line end: line numbers stay, and no other file is needed. One note can't end
a bracket and begin the next, and no note of a placing is another one's. Source: engraved pages of LilyPond 2.25.12,
looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from ..score.model import Note, Reading, SourceNote
from ..source.edits import Insertion
from ..source.text import Place, SourceFile
from .digits import Digit
from .forms import ENGRAVER, ORIENTATIONS, OUTSIDE, START, bracket, head, is_dealt_out, place_of_head
from .side import UP, digit_side

if TYPE_CHECKING:
    from .plan import RootPlan, SolvedPassage

Pair = tuple[SourceNote, SourceNote]
Texts = dict[SourceFile, list[Insertion]]


def bracket_texts(
    passages: Sequence[SolvedPassage], digits: Mapping[Place, Digit], may_stand: Callable[[SourceNote], bool]
) -> Texts:
    """What goes into each file to bracket the placings in which a digit goes in.

    No bracket goes into a file that has one already or whose notes are dealt out, nor where it may not stand at both of
    its ends. Where a source note sounds several times, its placings must agree.
    """
    found: Texts = {}
    sides: dict[Pair, set[tuple[int, str]]] = {}
    roles: dict[SourceNote, set[Pair | None]] = {}
    for item in passages:
        for notes in _placings(item):
            pair = _pair(notes)
            for note in notes:
                at_end = pair is not None and note.source in pair
                roles.setdefault(note.source, set()).add(pair if at_end else None)
            if pair is not None and any(note.source.place in digits for note in notes):
                sides.setdefault(pair, set()).add((notes[0].side, item.part.hand))
    for pair, whose in sides.items():
        if all(roles[source] == {pair} and may_stand(source) for source in pair):
            above = digit_side(whose) == UP
            for number, source in enumerate(pair):
                file, at = source.place.file, source.behind
                assert at is not None
                text = bracket(file, at, start=number == 0, above=above)
                found.setdefault(file, []).append(Insertion(at, text))
    return {file: texts for file, texts in found.items() if START[1:] not in file.text and not is_dealt_out(file)}


def _placings(item: SolvedPassage) -> Iterator[list[Note]]:
    """The first note of each onset, placing by placing."""
    part = item.part
    for _, group in groupby(range(len(part.notes)), key=item.answer.placings.__getitem__):
        yield [part.first(onset) for onset in group]


def _pair(notes: Sequence[Note]) -> Pair | None:
    """The ends of a placing that a bracket can join: two events of one voice in one file, both grace notes or none."""
    first, last = notes[0], notes[-1]
    one, two = first.source, last.source
    joined = first.voice == last.voice and one.place.file is two.place.file and bool(first.grace) == bool(last.grace)
    if not joined or one.behind is None or two.behind is None or one.behind == two.behind:
        return None
    return one, two


def headless(readings: Iterable[Reading]) -> frozenset[SourceFile]:
    """The files of fragments in documents: such a score has no place for a head, so no brackets, nor digits beside."""
    return frozenset(file for reading in readings if place_of_head(reading.root) is None for file in reading.files)


def with_heads(
    roots: Iterable[RootPlan],
    texts: Texts,
    beside: Collection[SourceFile],
    outside: Collection[SourceFile] = (),
) -> Texts:
    """The texts, and at the head of each root what its score needs for brackets, for digits beside chords, which the
    files of ``beside`` have, and for digits outside slurs, which those of ``outside`` have."""
    bracketed = frozenset(texts)
    for root in roots:
        read = "".join(file.text for file in root.reading.files)
        brackets = not bracketed.isdisjoint(root.reading.files) and ENGRAVER not in read
        left = ORIENTATIONS not in read and any(file in beside for file in root.reading.files)
        out = OUTSIDE not in read and not frozenset(outside).isdisjoint(root.reading.files)
        file = root.reading.root
        at = place_of_head(file)
        if at is not None and (brackets or left or out):
            texts.setdefault(file, []).append(Insertion(at, head(brackets=brackets, left=left, outside=out)))
    return texts


def merged(*all_texts: Mapping[SourceFile, Sequence[Insertion]]) -> Texts:
    """Texts of several kinds, those at one offset joined in the order given."""
    found: dict[SourceFile, dict[int, str]] = {}
    for texts in all_texts:
        for file, insertions in texts.items():
            for item in insertions:
                own = found.setdefault(file, {})
                own[item.offset] = own.get(item.offset, "") + item.text
    return {file: [Insertion(*pair) for pair in own.items()] for file, own in found.items()}
