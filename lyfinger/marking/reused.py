"""Music that is used again where the digit of its first use can't stand: which two places disagree.

A variable that both hands play, that is transposed, or that a part and a score share, is written once and has one
digit. The search finds out that none suits; here it is said of what.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from ..fingering.problems import options
from ..harp.reach import Reach
from ..score.model import Note, Score
from ..score.spoken import bar_and_beat
from .joint import Solved
from .passages import HandPassage

Use = tuple[int, int, int]
"""The index of a passage, of an onset in it, and of a string of that."""


class Uses:
    """Every place of every source note; ``names`` says what each score is called, ``reach`` is the player's."""

    def __init__(
        self, parts: Sequence[HandPassage], answers: Sequence[Solved], names: Mapping[Score, str], reach: Reach
    ) -> None:
        self.reach = reach
        self.parts = parts
        self.answers = answers
        self.names = names

    @cached_property
    def _by_key(self) -> dict[int, list[Use]]:
        found: dict[int, list[Use]] = {}
        for number, part in enumerate(self.parts):
            for index, onset in enumerate(part.passage.onsets):
                for string, key in enumerate(onset.keys):
                    found.setdefault(key, []).append((number, index, string))
        return found

    def conflict(self, number: int, onset: int) -> str | None:
        """What can't agree about an onset of a passage (indices), which the search has left out; None if nothing else
        has its notes."""
        found = [(*self._rank(here, there), here, there) for here, there in self._others(number, onset)]
        if not found:
            return None
        agree, unfingered, _, here, there = min(found)
        several = len({self._part(use).score for use in (here, there)}) > 1
        other = f"{'its other places, such as ' if agree else ''}{self._said(there, several)}"
        text = f"one digit can't serve both {self._said(here, several)} and {other}"
        return text if unfingered else f"{text}; it is made for the latter"

    def _others(self, number: int, onset: int) -> Iterator[tuple[Use, Use]]:
        for string, key in enumerate(self.parts[number].passage.onsets[onset].keys):
            for use in self._by_key[key]:
                if not self._is_twin(use, number, onset):
                    yield (number, onset, string), use

    def _is_twin(self, use: Use, number: int, onset: int) -> bool:
        """Whether a use is the same place: itself, or that of a part that is quite as its score."""
        return use[1] == onset and self.answers[use[0]] is self.answers[number]

    def _rank(self, here: Use, there: Use) -> tuple[bool, bool, bool]:
        """The worse two uses get on, the surer the other one has its digit, and the nearer it is, the better it says
        what is wrong."""
        agree = bool(self._possible(here) & self._possible(there))
        return agree, self._finger(there) is None, self._part(here).score is not self._part(there).score

    def _possible(self, use: Use) -> set[int]:
        """The fingers that can take a note in one place, whatever comes before and after."""
        return {fingers[use[2]] for fingers in options(self._part(use).passage.onsets[use[1]], self.reach)}

    def _finger(self, use: Use) -> int | None:
        return self.answers[use[0]].fingers[use[1]][use[2]]

    def _part(self, use: Use) -> HandPassage:
        return self.parts[use[0]]

    def _note(self, use: Use) -> Note:
        part = self._part(use)
        return part.score.notes[part.notes[use[1]][use[2]][0]]

    def _said(self, use: Use, several: bool) -> str:
        part, note = self._part(use), self._note(use)
        where = [f"{part.hand} hand", bar_and_beat(part.score, note)]
        named = [*([f"in {self.names[part.score]}"] if several else []), *filter(None, where)]
        return f"{note.pitch.name} ({', '.join(named)})"
