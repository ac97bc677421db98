"""Twins that make a plan: which notes to write on the neighbouring string where the pedals can't follow.

Twins: C=B♯ C♯=D♭ D♯=E♭ E=F♭ F=E♯ F♯=G♭ G♯=A♭ A♯=B♭ B=C♭; D, G and A natural have none (published: Sibelius Academy,
*Harp Notation*). The search goes from one trouble to the next, in printed order; around each it tries the notes that
take part in it, one group and then two, and keeps what leaves the fewest troubles, then changes the fewest notes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from copy import copy
from fractions import Fraction
from itertools import combinations
from typing import NamedTuple

from ..harp.feet import PedalSettings
from ..harp.profile import HarpProfile
from ..score.model import Note, Score, SourceNote, Unmarkable
from ..score.pitch import Pitch, twin
from .course import Course, course_of
from .plan import PedalPlan, Trouble, plan_pedals

#: Whole notes on either side of a trouble that are planned anew for each try.
AROUND = Fraction(8)

#: How many notes may change before one of them gets a name that is hard to read (E♯, B♯, F♭, C♭).
_ODD = 4

Respelled = dict[SourceNote, Pitch]
Group = tuple[SourceNote, ...]
Planner = Callable[[Score], PedalPlan]
"""Plans the same player's part of a changed score."""


class Proposal(NamedTuple):
    """``pitches`` are the new spellings; ``before`` and ``after`` how many troubles there were and are left."""

    pitches: Mapping[SourceNote, Pitch]
    before: int
    after: int


def replanner(course: Course, harp: HarpProfile, settings: PedalSettings) -> Planner:
    """A planner for the player of a course: whose notes are whose is known by their place in reading order."""
    own = {note.order for note in course.notes}

    def planned(score: Score) -> PedalPlan:
        notes = [note for note in score.notes if note.order in own]
        again = course_of(score, course.player, notes, course.staves, course.pace, harp, settings)
        return plan_pedals(again, settings)

    return planned


def propose(plan: PedalPlan, planner: Planner, possible: Callable[[Note], bool]) -> Proposal:
    """Respellings of a player's part that leave fewer troubles; ``possible`` says which notes can be written anew."""
    return _Search(plan.course, planner, possible).run(plan)


_HARD = (Trouble.CLASH, Trouble.UNDER, Trouble.CROWDED)


def count_troubles(plan: PedalPlan) -> int:
    """How often a plan has what no foot can do: pedals under sounding strings, two at once, a letter in two
    alterations at once."""
    return sum(one.trouble in _HARD for one in plan.difficulties)


def respelled(score: Score, pitches: Mapping[SourceNote, Pitch]) -> Score:
    """A score in which some source notes are spelled anew, wherever they sound."""
    other = copy(score)
    other.notes = [
        note._replace(pitch=pitches[note.source]) if note.source in pitches else note for note in score.notes
    ]
    return other


class _Search:
    def __init__(self, course: Course, planner: Planner, possible: Callable[[Note], bool]) -> None:
        self.course, self.planner, self.possible = course, planner, possible
        self.chosen: Respelled = {}
        self.given_up: set[tuple[Fraction, int]] = set()
        self.chains = _tied(course.score.notes)
        self.origins = _repeated(course.score.notes)

    def run(self, plan: PedalPlan) -> Proposal:
        before = count_troubles(plan)
        while (found := self._next(plan)) is not None:
            time, step = found
            better = self._mend(plan, time, step)
            if better is None:
                self.given_up.add(found)
                continue
            candidate = self._planned(self.chosen | better)
            if count_troubles(candidate) < count_troubles(plan):
                self.chosen |= better
                plan = candidate
            else:
                self.given_up.add(found)
        return Proposal(self.chosen, before, count_troubles(plan))

    def _planned(self, pitches: Respelled) -> PedalPlan:
        return self.planner(respelled(self.course.score, pitches))

    def _next(self, plan: PedalPlan) -> tuple[Fraction, int] | None:
        """The first trouble that is not given up: its time and its letter."""
        hard = [one for one in plan.difficulties if one.trouble in _HARD]
        found = [(one.moment, step) for one in hard for step in one.steps]
        for number, step in sorted(found):
            time = plan.course.moments[number].time[0]
            if (time, step) not in self.given_up:
                return time, step
        return None

    def _mend(self, plan: PedalPlan, time: Fraction, step: int) -> Respelled | None:
        """The best respelling around a time, judged in an excerpt; None if none helps."""
        score = _excerpt(respelled(self.course.score, self.chosen), time - AROUND, time + AROUND)
        now = count_troubles(self.planner(score))
        options = list(self._options(plan, time, step))
        for tries in (options, [one | other for one, other in combinations(options, 2)]):
            rated = [(self._rate(score, option), number) for number, option in enumerate(tries)]
            better = [item for item in rated if item[0][0] < now]
            if better:
                return tries[min(better)[1]]
        return None

    def _rate(self, score: Score, option: Respelled) -> tuple[int, int, int]:
        plan = self.planner(respelled(score, option))
        odd = sum(_is_odd(pitch) for pitch in option.values())
        return count_troubles(plan), _ODD * odd + len(option), len(plan.changes)

    def _options(self, plan: PedalPlan, time: Fraction, step: int) -> Iterator[Respelled]:
        seen: set[Group] = set()
        for group in self._groups(plan, time, step):
            whole = self._whole(group)
            if whole is None or not whole or tuple(whole) in seen:
                continue
            seen.add(tuple(whole))
            others = {source: other for source, pitch in whole.items() if (other := twin(pitch)) is not None}
            if len(others) == len(whole):
                yield others

    def _groups(self, plan: PedalPlan, time: Fraction, step: int) -> Iterator[list[Note]]:
        """Notes of a letter near a time: each by itself, and each run of one alteration."""
        runs: list[list[Note]] = []
        near: list[Note] = []
        for moment in plan.course.moments:
            if abs(moment.time[0] - time) > AROUND:
                continue
            for note in moment.plucks.get(step, ()):
                if not runs or runs[-1][-1].pitch.alter != note.pitch.alter:
                    runs.append([])
                runs[-1].append(note)
                if note.moment <= time <= note.moment + note.duration:
                    near.append(note)
        for note in near:
            yield [note]
        for run in runs:
            if run[0].moment <= time + 1 and run[-1].moment + run[-1].duration >= time - 1:
                yield run

    def _whole(self, group: Iterable[Note]) -> dict[SourceNote, Pitch] | None:
        """The source notes of a group with their ties and what repeats them, each with its pitch; None if one can't be
        written anew."""
        found: dict[SourceNote, Pitch] = {}
        for note in self._with_repetitions(group):
            for one in self.chains.get((note.source, note.moment), [note]):
                possible = one.source in self.origins or self.possible(one)
                if not possible or one.source in self.chosen or found.setdefault(one.source, one.pitch) != one.pitch:
                    return None
        return found

    def _with_repetitions(self, group: Iterable[Note]) -> list[Note]:
        """The notes of a group, the written ones that a ``q`` or a bare duration among them repeats, and all that
        repeat one of these."""
        written = {self.origins.get(note.source, note) for note in group}
        followers = [
            note
            for note in self.course.score.notes
            if note.source in self.origins and self.origins[note.source] in written
        ]
        return [*sorted(written, key=lambda note: note.order), *followers]


def _is_odd(pitch: Pitch) -> bool:
    """Whether a name has an accidental where a plain letter sounds the same."""
    other = twin(pitch)
    return bool(pitch.alter) and other is not None and not other.alter


def _tied(notes: Sequence[Note]) -> dict[tuple[SourceNote, Fraction], list[Note]]:
    """The notes that are tied together, by the first of them and its moment."""
    found: dict[tuple[SourceNote, Fraction], list[Note]] = {}
    going: dict[tuple[int, Pitch], list[Note]] = {}
    for note in notes:
        key = (note.voice, note.pitch)
        if not note.plucked and key in going:
            going[key].append(note)
        elif "tieStart" in note.marks:
            going[key] = found[note.source, note.moment] = [note]
    return found


def _repeated(notes: Iterable[Note]) -> dict[SourceNote, Note]:
    """For what a ``q`` or a bare duration sounds: the note, written before in the same voice, that it repeats."""
    found: dict[SourceNote, Note] = {}
    latest: dict[tuple[int, Pitch], Note] = {}
    for note in sorted(notes, key=lambda note: note.order):
        key = (note.voice, note.pitch)
        if note.source.unmarkable not in (Unmarkable.REPEATED_CHORD, Unmarkable.BARE_DURATION):
            latest[key] = note
        elif key in latest:
            found.setdefault(note.source, latest[key])
    return found


def _excerpt(score: Score, start: Fraction, end: Fraction) -> Score:
    """A stretch of a score, with the marks and key signatures before it."""
    other = copy(score)
    other.notes = [note for note in score.notes if start <= note.moment <= end]
    other.silences = [rest for rest in score.silences if start <= rest.moment <= end]
    other.texts = [text for text in score.texts if start <= text.moment <= end]
    return other
