"""A phrase as the search decided it, seen from one hand's passage: notes by name, times, placings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..fingering.alternatives import Alternatives
from ..fingering.plan import Chain, Group
from ..marking.passages import HandPassage
from ..marking.plan import Plan, SolvedPassage
from ..marking.player import Player
from ..score.model import Note


@dataclass(frozen=True, slots=True)
class Phrase:
    """A chain of onsets between two free lifts, and the group that it is decided in.

    ``answers`` know the passage that was solved; ``start`` is where in it the onsets of ``part`` begin. All indices
    of onsets below are those of the solved passage.
    """

    part: HandPassage
    start: int
    answers: Alternatives
    group: Group
    chain: Chain

    def strings(self, onset: int) -> tuple[tuple[int, ...], ...]:
        """For each string of an onset the notes on it (indices in the score)."""
        return self.part.notes[onset - self.start]

    def notes(self, onset: int) -> tuple[Note, ...]:
        """The first note on each string of an onset, from the lowest up."""
        return tuple(self.part.score.notes[indices[0]] for indices in self.strings(onset))

    def bar(self, onset: int) -> int | None:
        """The printed number of the bar that an onset stands in; None where the score has no bars."""
        return self.part.score.bar_number(self.part.first(onset - self.start))

    def names(self, onset: int) -> str:
        """The pitches of an onset: ``C4``, or ``C4-E4-G4``."""
        return "-".join(note.pitch.name for note in self.notes(onset))

    def gap(self, before: int, after: int) -> int:
        """The least time, in milliseconds, in which one onset is played after another."""
        return self.answers.gaps[before, after]

    def placings(self, placings: tuple[int, ...], onsets: range) -> Iterator[range]:
        """The onsets of each placing of a stretch, cut off at the stretch's ends."""
        first = onsets.start
        for index in onsets:
            if index + 1 == onsets.stop or placings[index + 1] != placings[index]:
                yield range(first, index + 1)
                first = index + 1


class Phrases:
    """The phrases of a plan."""

    def __init__(self, plan: Plan, player: Player) -> None:
        self._player = player
        self._answers: dict[int, Alternatives] = {}
        self.plan = plan

    def phrase_of(self, solved: SolvedPassage, onset: int) -> Phrase | None:
        """The phrase of an onset (an index in the hand's passage); None where the onset has a problem."""
        answers, start = self._answers_of(solved), solved.answer.start
        group = answers.group_of(start + onset)
        if group is None:
            return None
        chain = next(chain for chain in group.chains if start + onset in chain.onsets)
        return Phrase(solved.part, start, answers, group, chain)

    def _answers_of(self, solved: SolvedPassage) -> Alternatives:
        joined = solved.answer.joined
        if id(joined) not in self._answers:
            self._answers[id(joined)] = Alternatives(
                joined.passage, joined.placed, self._player.hand, self._player.settings
            )
        return self._answers[id(joined)]
