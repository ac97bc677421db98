"""What the rules look at: the scores with their hands, the passages, and the hand and harp that they are for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ..fingering.model import Onset
from ..hands.model import Hand, Hands
from ..harp.reach import Reach
from ..marking.passages import HandPassage
from ..score.model import Note, Score
from ..source.messages import Message, Severity

CAUTION = "a digit is a suggestion; stop when it hurts; ask a teacher or a clinician"
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


@dataclass(frozen=True, slots=True)
class Part:
    """One score with its hands and its passages."""

    score: Score
    hands: Hands
    passages: tuple[HandPassage, ...]

    def notes(self) -> Iterator[Note]:
        """The notes that are a harpist's, in order of time."""
        return (note for note, hand in zip(self.score.notes, self.hands.hands, strict=True) if hand is not None)


@dataclass(frozen=True, slots=True)
class Draft:
    """All scores of a run, and the player's hand on the player's harp."""

    parts: tuple[Part, ...]
    reach: Reach

    @classmethod
    def of(cls, scores: Iterable[tuple[Score, Hands]], passages: Sequence[HandPassage], reach: Reach) -> Draft:
        """The draft of some scores; each passage goes to its score."""
        return cls(
            tuple(
                Part(score, hands, tuple(passage for passage in passages if passage.score is score))
                for score, hands in scores
            ),
            reach,
        )


@dataclass(frozen=True, slots=True)
class Struck:
    """One onset of one hand, with the notes that it is made of."""

    part: Part
    passage: HandPassage
    index: int

    @property
    def onset(self) -> Onset:
        return self.passage.passage.onsets[self.index]

    @property
    def hand(self) -> Hand:
        return self.passage.hand

    @property
    def notes(self) -> list[Note]:
        """The first note on each string, from the lowest up."""
        return [self.passage.score.notes[indices[0]] for indices in self.passage.notes[self.index]]

    def message(self, severity: Severity, rule: str, text: str) -> Message:
        """A message at the note that comes first in the source."""
        return message(self.part.score, self.passage.first(self.index), severity, rule, text)


def struck(draft: Draft) -> Iterator[Struck]:
    """Every onset of every hand."""
    for part in draft.parts:
        for passage in part.passages:
            for index in range(len(passage.passage.onsets)):
                yield Struck(part, passage, index)


def message(score: Score, note: Note, severity: Severity, rule: str, text: str) -> Message:
    """A message about a note, with its printed bar."""
    bar = score.bar_at(note.moment).number if score.bars else None
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
