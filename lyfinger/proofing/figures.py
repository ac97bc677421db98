"""What the page knows of every placing and every digit, as plain values."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations, groupby

from ..checking.draft import interval
from ..explaining.documentation import documented
from ..explaining.phrases import Phrase, Phrases
from ..explaining.places import Stretch
from ..explaining.reasons import Explained, Other, explained, shape
from ..explaining.words import line_of, reason_here
from ..fingering.alternatives import Choice
from ..harp.reach import Reach
from ..marking.plan import Plan, SolvedPassage
from ..marking.player import Player
from ..marking.spread import Spread
from ..score.model import Note, SourceNote
from ..score.pitch import string_name
from ..score.spoken import bar_and_beat

MOST_WORK = 20_000
"""What looking for other fingerings of one placing may take, as ``explained`` counts it."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two fingers on their strings: how far they are apart, what is easy and what the hand reaches, in µm."""

    fingers: tuple[int, int]
    strings: tuple[int, int]
    apart: int
    easy: int
    greatest: int

    @property
    def percent(self) -> int:
        """How much of the reach is used."""
        return round(100 * self.apart / self.greatest)

    @property
    def words(self) -> str:
        """``an octave with 4 and 1: 104 of 150 mm``."""
        name = interval(self.strings[1] - self.strings[0] + 1)
        high, low = self.fingers[1], self.fingers[0]
        return f"{name} with {low} and {high}: {_mm(self.apart)} of {_mm(self.greatest)} mm"


@dataclass(frozen=True, slots=True)
class Struck:
    """One note of a placing: its bar and beat in words, name, string, finger, and whether that is locked."""

    onset: int
    where: str
    name: str
    string: int
    finger: int | None
    locked: bool


@dataclass(frozen=True, slots=True)
class HandSet:
    """Fingers set on their strings together: the notes (indices in the figure), and each pair of fingers."""

    notes: tuple[int, ...]
    pairs: tuple[Pair, ...]


@dataclass(frozen=True, slots=True)
class Alternative:
    """Other fingers (parallel to the notes of the figure; ``line`` has them as text, a bar between two placings), what
    the phrase costs more with them (thousandths), rule by rule, and how many other notes it fingers otherwise."""

    line: str
    fingers: tuple[int | None, ...]
    more: int
    difference: tuple[tuple[str, int], ...]
    elsewhere: int
    proven: bool
    sets: tuple[HandSet, ...]


@dataclass(frozen=True, slots=True)
class Reason:
    """What a rule counts against a placing, in words; ``cost`` in thousandths."""

    rule: str
    text: str
    cost: int
    source: str


@dataclass(frozen=True, slots=True)
class Figure:
    """One placing of one hand.

    ``others`` is None where there is too much music to look for them; ``score`` is the index of the score in the run,
    ``player`` the number of its harpist in that; ``sources`` are the source notes that show the digits, parallel to
    ``notes``.
    """

    hand: str
    bar: int | None
    line: str
    notes: tuple[Struck, ...]
    sets: tuple[HandSet, ...]
    reasons: tuple[Reason, ...]
    others: tuple[Alternative, ...] | None
    limits: tuple[str, ...]
    score: int
    player: int
    sources: tuple[SourceNote, ...] = ()

    @property
    def hardest(self) -> Pair | None:
        """The pair of fingers that uses most of its reach."""
        pairs = (pair for one in self.sets for pair in one.pairs)
        return max(pairs, key=lambda pair: pair.apart * 1_000_000 // pair.greatest, default=None)


class Figures:
    """The placings of a plan, each explained when it is asked for."""

    def __init__(self, plan: Plan, player: Player) -> None:
        self._player = player
        self._phrases = Phrases(plan, player)
        self._sources = {rule.name: rule.documentation.source for rule in documented()}
        self._ranks = {id(score): index for index, score in enumerate(plan.scores)}
        seen: set[tuple[int, int]] = set()
        found: list[tuple[Note, Stretch]] = []
        for solved in plan.passages:
            whose = (id(solved.answer.joined), solved.answer.start)
            if whose not in seen:
                seen.add(whose)
                found += self._placings(solved)
        found.sort(key=self._time)
        self.stretches = tuple(stretch for _, stretch in found)

    def _time(self, item: tuple[Note, Stretch]) -> tuple[int, Fraction, Fraction, int]:
        note, stretch = item
        return self._ranks[id(stretch.phrase.part.score)], note.moment, note.grace, note.order

    def _placings(self, solved: SolvedPassage) -> Iterator[tuple[Note, Stretch]]:
        start = solved.answer.start
        for _, group in groupby(range(len(solved.part.notes)), key=solved.answer.placings.__getitem__):
            onsets = list(group)
            phrase = self._phrases.phrase_of(solved, onsets[0])
            if phrase is not None:
                stretch = Stretch(phrase, range(start + onsets[0], start + onsets[-1] + 1))
                yield solved.part.first(onsets[0]), stretch

    def explained(self, spread: Spread, seen: Callable[[], None]) -> list[Figure]:
        """All placings; ``seen`` is called for each that this process has done."""

        def call(stretch: Stretch) -> Figure:
            seen()
            return self.explain(stretch)

        figures = spread(call, self.stretches, lambda stretch: len(stretch.onsets) * len(stretch.phrase.chain.onsets))
        return [replace(one, sources=_sources(stretch)) for one, stretch in zip(figures, self.stretches, strict=True)]

    def explain(self, stretch: Stretch) -> Figure:
        """All that is to be said about one placing, but for its source notes, which only this process knows."""
        one = explained(stretch, MOST_WORK)
        phrase = one.phrase
        return Figure(
            hand=str(phrase.part.hand),
            bar=phrase.bar(one.onsets[0]),
            line=line_of(phrase, one.best, one.onsets),
            notes=tuple(_notes(one)),
            sets=tuple(self._sets(phrase, one.best, one.onsets)),
            reasons=tuple(self._reasons(one)),
            others=None if one.others is None else tuple(self._alternative(one, other) for other in one.others),
            limits=one.limits,
            score=self._ranks[id(phrase.part.score)],
            player=phrase.part.player,
        )

    def _reasons(self, one: Explained) -> Iterator[Reason]:
        for placing in one.placings:
            for item in placing.items:
                text = reason_here(one.phrase, one.best, item, placing.onsets)
                yield Reason(item.rule, text, item.cost, self._sources.get(item.rule, ""))

    def _alternative(self, one: Explained, other: Other) -> Alternative:
        fingers = tuple(finger for index in one.onsets for finger in other.choice.fingers[index])
        return Alternative(
            line_of(one.phrase, other.choice, one.onsets),
            fingers,
            other.more,
            other.difference,
            other.elsewhere,
            other.choice.proven,
            tuple(self._sets(one.phrase, other.choice, one.onsets)),
        )

    def _sets(self, phrase: Phrase, choice: Choice, onsets: range) -> Iterator[HandSet]:
        """What is set together, one placing after another; the figure itself is one, another fingering may be two."""
        first = 0
        for group in phrase.placings(choice.placings, onsets):
            count = sum(len(choice.fingers[index]) for index in group)
            yield HandSet(tuple(range(first, first + count)), tuple(self._pairs(shape(phrase, choice, group))))
            first += count

    def _pairs(self, fingers: dict[int, int]) -> Iterator[Pair]:
        reach = self._player.reach
        for (low, finger), (high, other) in combinations(fingers.items(), 2):
            if finger != other:
                spread = reach.spread(finger, other)
                yield Pair((finger, other), (low, high), reach.span(low, high), spread.easy, spread.greatest)


def string_places(reach: Reach, low: int, high: int) -> dict[str, int]:
    """The strings from one number to another by name, with their place in µm from the first."""
    return {string_name(string): reach.span(low, string) for string in range(low, high + 1)}


def _sources(stretch: Stretch) -> tuple[SourceNote, ...]:
    return tuple(note.source for index in stretch.onsets for note in stretch.phrase.notes(index))


def _notes(one: Explained) -> Iterator[Struck]:
    phrase = one.phrase
    for index in one.onsets:
        onset = phrase.answers.passage.onsets[index]
        rows = zip(phrase.notes(index), onset.strings, onset.locks, one.best.fingers[index], strict=True)
        for note, string, lock, finger in rows:
            where = bar_and_beat(phrase.part.score, note)
            yield Struck(index, where, note.pitch.name, string, finger, lock is not None)


def _mm(micrometres: int) -> int:
    return (micrometres + 500) // 1000
