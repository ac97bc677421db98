"""What the rules look at: the scores with their hands, the passages, and the hand and harp that they are for."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import chain, groupby
from typing import Any, NamedTuple

from ..fingering.model import Onset, all_known
from ..hands.model import Hand, Hands
from ..harp.feet import PedalSettings
from ..harp.reach import Reach
from ..marking.joint import Solved
from ..marking.passages import HandPassage
from ..score.model import Note, Score
from ..score.performing import Time
from ..score.pitch import Pitch
from ..score.tempo import Pace
from ..source.messages import Message, Severity

CAUTION = "a digit is a suggestion; stop when it hurts; ask a teacher or a clinician"
NO_SETTINGS = PedalSettings()
_INTERVALS = (
    "a unison",
    "a second",
    "a third",
    "a fourth",
    "a fifth",
    "a sixth",
    "a seventh",
    "an octave",
    "a ninth",
    "a tenth",
)


class Part(NamedTuple):
    """One score with its hands, its passages, the answer to each of these (none where nothing was solved), and its
    pace (None: by its own tempo marks alone)."""

    score: Score
    hands: Hands
    passages: tuple[HandPassage, ...]
    answers: tuple[Solved, ...] = ()
    pace: Pace | None = None

    def notes(self) -> Iterator[Note]:
        """The notes that are a harpist's, in order of time."""
        return (note for note, hand in zip(self.score.notes, self.hands.hands, strict=True) if hand is not None)

    def placings_in_turn(self, number: int) -> Iterator[list[int]]:
        """The placings of a passage (by its index) with more than one onset and a digit for each note: its onsets."""
        fingers, numbers = self.answers[number].fingers, self.answers[number].placings
        for _, indices in groupby(range(len(numbers)), key=numbers.__getitem__):
            found = list(indices)
            if len(found) > 1 and all(None not in fingers[index] for index in found):
                yield found


class Draft(NamedTuple):
    """All scores of a run, and the player's hand on the player's harp; ``pedals`` are the settings for the feet.

    ``memo`` is for what several rules work out alike.
    """

    parts: tuple[Part, ...]
    reach: Reach
    pedals: PedalSettings
    memo: dict[str, Any]

    @classmethod
    def of(
        cls,
        scores: Iterable[tuple[Score, Hands]],
        passages: Sequence[HandPassage],
        reach: Reach,
        answers: Sequence[Solved] = (),
        paces: Sequence[Pace] = (),
        pedals: PedalSettings = NO_SETTINGS,
    ) -> Draft:
        """The draft of some scores; each passage goes to its score, and its answer, if there are any, with it."""
        parts = []
        for number, (score, hands) in enumerate(scores):
            own = [index for index, passage in enumerate(passages) if passage.score is score]
            solved = tuple(answers[index] for index in own) if answers else ()
            pace = paces[number] if paces else None
            parts.append(Part(score, hands, tuple(passages[index] for index in own), solved, pace))
        return cls(tuple(parts), reach, pedals, {})


class Struck:
    """One onset of one hand, with the notes that it is made of; ``number`` is the index of its passage."""

    __slots__ = ("index", "number", "part", "passage")

    def __init__(self, part: Part, passage: HandPassage, index: int, number: int) -> None:
        self.part = part
        self.passage = passage
        self.index = index
        self.number = number

    @property
    def onset(self) -> Onset:
        return self.passage.passage.onsets[self.index]

    @property
    def digits(self) -> tuple[int, ...] | None:
        """The fingers on its strings, given or suggested; None where one has none."""
        fingers = self.part.answers[self.number].fingers[self.index] if self.part.answers else self.onset.locks
        return all_known(fingers)

    @property
    def hand(self) -> Hand:
        return self.passage.hand

    @property
    def time(self) -> Time:
        """When it is struck: the moment and its grace part."""
        first = self.passage.score.notes[self.passage.notes[self.index][0][0]]
        return first.moment, first.grace

    @property
    def marks(self) -> frozenset[str]:
        """What is attached to any of its notes."""
        listed = (index for indices in self.passage.notes[self.index] for index in indices)
        return frozenset(mark for index in listed for mark in self.passage.score.notes[index].marks)

    @property
    def notes(self) -> list[Note]:
        """The first note on each string, from the lowest up."""
        return [self.passage.score.notes[indices[0]] for indices in self.passage.notes[self.index]]

    @property
    def pitches(self) -> list[Pitch]:
        """What is plucked, from the lowest string up."""
        return [note.pitch for note in self.notes]

    def gaps(self) -> dict[int, int]:
        """For every onset of its hand that is played right after the one printed before it: by how many ms."""
        return {step.after: step.gap for step in self.passage.passage.steps if step.after == step.before + 1}

    def other_hand_is_free(self, until: Fraction | None = None) -> bool:
        """Whether the player's other hand strikes nothing at this moment (or from it up to ``until``, included).

        Where what the other hand plays is not known, as in a file of bare variables, it is not free.
        """
        if self.part.score.loose and self.part.score.staves[self.notes[0].staff].group is None:
            return False
        last = self.time if until is None else (until, Fraction(0))
        others = (p for p in self.part.passages if p.player == self.passage.player and p.hand is not self.hand)
        return not any(_strikes(other, self.time, last) for other in others)

    def message(self, severity: Severity, rule: str, text: str, end: Struck | None = None) -> Message:
        """A message at the note that comes first in the source; ``end`` is the last onset that it is about."""
        found = message(self.part.score, self.passage.first(self.index), severity, rule, text)
        if end is None or end.index == self.index:
            return found
        return found._replace(end=end.passage.first(end.index).source.place)


def _strikes(passage: HandPassage, start: Time, end: Time) -> bool:
    """Whether a hand strikes anything from one time up to another."""

    def time(strings: tuple[tuple[int, ...], ...]) -> Time:
        note = passage.score.notes[strings[0][0]]
        return note.moment, note.grace

    at = bisect_left(passage.notes, start, key=time)
    return at < len(passage.notes) and time(passage.notes[at]) <= end


def hands(draft: Draft) -> list[list[Struck]]:
    """The onsets of every hand, in order; made once for a draft, since most rules look at them."""
    found: list[list[Struck]] | None = draft.memo.get("hands")
    if found is None:
        found = draft.memo["hands"] = [
            [Struck(part, passage, index, number) for index in range(len(passage.passage.onsets))]
            for part in draft.parts
            for number, passage in enumerate(part.passages)
        ]
    return found


def struck(draft: Draft) -> Iterator[Struck]:
    """Every onset of every hand."""
    return chain.from_iterable(hands(draft))


def in_words(names: Sequence[str]) -> str:
    """Names as a sentence has them.

    >>> in_words(["C4"]), in_words(["C4", "E4", "G4"])
    ('C4', 'C4, E4 and G4')
    """
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def message(score: Score, note: Note, severity: Severity, rule: str, text: str) -> Message:
    """A message about a note, with its printed bar."""
    bar = score.bar_number(note)
    return Message(severity, note.source.place, text, rule, bar=bar)


def interval(strings: int) -> str:
    """The name of an interval that takes in so many strings, both ends counted.

    >>> interval(10), interval(8), interval(13)
    ('a tenth', 'an octave', 'a 13th')
    """
    if strings <= len(_INTERVALS):
        return _INTERVALS[strings - 1]
    teen = strings % 100 in (11, 12, 13)
    ending = "th" if teen else {1: "st", 2: "nd", 3: "rd"}.get(strings % 10, "th")
    return f"{'an' if strings in (11, 18) else 'a'} {strings}{ending}"
