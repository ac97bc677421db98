"""From what the user points at, a place in the source or some bars, to the stretches of music to explain."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from ..marking.passages import is_plucked
from ..marking.plan import Plan, RootPlan, SolvedPassage
from ..score.model import Note, Score
from ..source.messages import Refused
from ..source.text import Place, SourceFile
from .phrases import Phrase, Phrases

_BETWEEN = frozenset(' \t\r\n<>{}|%"')
"""What does not stand between the beginning of a note and a place inside its word."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Onsets of one phrase that follow one another (indices in the solved passage)."""

    phrase: Phrase
    onsets: range


@dataclass(frozen=True, slots=True)
class Unfingered:
    """An onset (index in the hand's passage) without digits, and why."""

    solved: SolvedPassage
    onset: int
    why: str


def note_at(root: RootPlan, place: Place) -> tuple[Score, int]:
    """The score and the index of the first sounding of the note whose word a place is in; the ``<`` of a chord stands
    for its first note.

    Raises Refused, with the place, where no note stands.
    """
    best: tuple[int, Score, int] | None = None
    for score in root.scores:
        for index, note in enumerate(score.notes):
            source = note.source
            if source.place.file is not place.file or not _covers(note, place):
                continue
            if best is None or source.place.offset > best[0]:
                best = (source.place.offset, score, index)
    if best is None:
        raise Refused("no note stands here", place)
    return best[1], best[2]


def _covers(note: Note, place: Place) -> bool:
    offset = note.source.place.offset
    if offset <= place.offset:
        word = place.file.text[offset : place.offset + 1]
        return bool(word) and not _BETWEEN & set(word)
    return place.offset == note.source.chord


def around(plan: Plan, phrases: Phrases, root: RootPlan, place: Place) -> Stretch | Unfingered:
    """The placing that a note is in, with the one before and the one after it as far as the phrase goes.

    Raises Refused, with the place, where no note stands, or one that no finger of a harpist's plucks.
    """
    score, index = note_at(root, place)
    note = score.notes[index]
    solved, onset = _onset_of(plan, score, index) or (None, 0)
    if solved is None:
        raise Refused(_why_not(root, score, index), note.source.place)
    phrase = phrases.phrase_of(solved, onset)
    if phrase is None:
        return _unfingered(solved, onset)
    here = solved.answer.start + onset
    groups = list(phrase.placings(phrase.answers.placed.placings, phrase.chain.onsets))
    at = next(number for number, onsets in enumerate(groups) if here in onsets)
    return Stretch(phrase, range(groups[max(at - 1, 0)].start, groups[min(at + 1, len(groups) - 1)].stop))


def _onset_of(plan: Plan, score: Score, index: int) -> tuple[SolvedPassage, int] | None:
    for solved in plan.passages:
        if solved.part.score is score:
            for onset, strings in enumerate(solved.part.notes):
                if any(index in indices for indices in strings):
                    return solved, onset
    return None


def _why_not(root: RootPlan, score: Score, index: int) -> str:
    note = score.notes[index]
    if not note.plucked:
        return "this note is tied to the one before: it is not plucked again"
    if not is_plucked(note):
        return "this note is not plucked"
    if root.hands[root.scores.index(score)].hands[index] is None:
        return "this note is no hand's: nothing says that a harpist plays it (see lyfinger notes)"
    return "this note is one of more than a hand can take at once: it stays unmarked"


def _unfingered(solved: SolvedPassage, onset: int) -> Unfingered:
    why = next(problem.text for problem in solved.answer.problems if problem.onset == onset)
    return Unfingered(solved, onset, why)


def in_bars(plan: Plan, phrases: Phrases, root: RootPlan, first: int, last: int) -> Iterator[Stretch | Unfingered]:
    """What each hand plays in the bars that are printed with the numbers ``first`` to ``last``, phrase by phrase.

    A passage that occurs twice note for note (a part and its score) comes once.
    """
    seen: set[tuple[int, int]] = set()
    for solved in plan.passages:
        whose = (id(solved.answer.joined), solved.answer.start)
        if solved.part.score not in root.scores or whose in seen:
            continue
        seen.add(whose)
        onsets = [index for index in range(len(solved.part.notes)) if _in(solved, index, first, last)]
        yield from _stretches(solved, onsets, phrases)


def _in(solved: SolvedPassage, onset: int, first: int, last: int) -> bool:
    score, note = solved.part.score, solved.part.first(onset)
    return bool(score.bars) and first <= score.bar_of(note).number <= last


def _stretches(solved: SolvedPassage, onsets: list[int], phrases: Phrases) -> Iterator[Stretch | Unfingered]:
    found = [(onset, phrases.phrase_of(solved, onset)) for onset in onsets]
    start = solved.answer.start
    for first, group in groupby(enumerate(found), key=lambda item: _run(item[0], *item[1])):
        members = [onset for _, (onset, _) in group]
        phrase = found[[onset for onset, _ in found].index(members[0])][1]
        if first is None or phrase is None:
            yield from (_unfingered(solved, onset) for onset in members)
        else:
            yield Stretch(phrase, range(start + members[0], start + members[-1] + 1))


def _run(place: int, onset: int, phrase: Phrase | None) -> tuple[int, int] | None:
    """What onsets of one phrase that follow one another have in common."""
    return None if phrase is None else (phrase.chain.first, onset - place)


def bars_of(root: RootPlan) -> tuple[int, int] | None:
    """The lowest and the highest printed bar number that a note of a file's scores stands in."""
    numbers = [score.bar_of(note).number for score in root.scores if score.bars for note in score.notes]
    return (min(numbers), max(numbers)) if numbers else None


def file_named(root: RootPlan, name: str | None) -> SourceFile:
    """The file of a reading that messages call ``name``; the root without one. Raises Refused for another name."""
    if name is None:
        return root.reading.root
    for file in root.reading.files:
        if file.name == name or (file.path is not None and file.path.name == name):
            return file
    raise Refused(f"{root.reading.root.name} does not include {name}")
