"""The course of one player's part: its moments, the letters that are in use at each, and where a mark can stand.

Both staves together. A letter is in use from the pluck of any of its strings, in any octave and either staff, until
every one of them has ended: written length, ties, and what is let ring (l.v.: through the rests behind it, to the next
note of its voice, at most ``RING_MS``). Common practice of the trade, no source. A string without a mechanism (C1, D1
of a pedal harp) is tuned before playing and uses no pedal: E. Volpé Bligh (published).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from fractions import Fraction
from functools import cached_property

from ..harp.feet import PedalSettings
from ..harp.profile import HarpProfile
from ..score.model import Note, Score, Unmarkable
from ..score.performing import Hop, Time, hops
from ..score.pitch import at_most_a_semitone
from ..score.tempo import CountedPace, Pace
from ..source.text import Place
from .letters import Setting
from .marks import Mark, mark_of
from .moments import Anchor, Glissando, Moment
from .sounding import Sounding, ring_ends, sound_on


class Course:
    """One player's part of a score, moment by moment in printed order; ``notes`` and ``staves`` are the player's.

    ``hops`` say which moment is played after which, ``key`` is the key signature of the beginning.
    """

    def __init__(self, reader: _Reader, moments: list[Moment], played: list[Hop], key: Setting) -> None:
        self.score: Score = reader.score
        self.player: int = reader.player
        self.pace: Pace = reader.pace
        self.notes: list[Note] = reader.notes
        self.staves: frozenset[int] = reader.staves
        self.moments = moments
        self.hops = played
        self.glissandos: list[Glissando] = []
        self.key = key
        self.reader = reader

    @property
    def staff(self) -> int | None:
        """The first of the player's staves, whose bars are told; None where there is none."""
        return min(self.staves, default=None)

    def with_marks(self, more: Sequence[tuple[int, Place, Mark]]) -> Course:
        """The course as it would be read if these marks stood at its moments (indices)."""
        added = [(self.moments[number].time, place, mark) for number, place, mark in more]
        return self.reader.again(added)

    def milliseconds(self, first: int, last: int) -> int:
        """Printed time from one moment to a later one, in whole milliseconds."""
        return self.reader.time.milliseconds(self.moments[first].at, self.moments[last].at)

    def passing(self, hop: Hop) -> int:
        """The time that passes on a hop, in whole milliseconds."""
        time = self.reader.time
        return time.between(hop.spans) // time.parts

    @cached_property
    def moving(self) -> frozenset[int]:
        """The letters that are marked, or needed in more than one alteration. The pedals of all others stand still."""
        return frozenset({step for moment in self.moments for step in moment.marked} | _varied(self.moments))


def course_of(
    score: Score,
    player: int,
    notes: Iterable[Note],
    staves: Iterable[int],
    pace: Pace,
    harp: HarpProfile,
    settings: PedalSettings,
) -> Course:
    """The course of a player's notes (all that are the harp's, tied ones too), on these staves of a score."""
    return _Reader(score, player, list(notes), frozenset(staves), pace, harp, settings).read()


def _varied(moments: Iterable[Moment]) -> set[int]:
    """The letters that are needed in more than one alteration."""
    given: list[set[int]] = [set() for _ in range(7)]
    for moment in moments:
        for step, notes in moment.plucks.items():
            given[step].update([note.pitch.alter.numerator for note in notes])
        for step, alteration in moment.wanted.items():
            given[step].add(alteration)
    return {step for step, alterations in enumerate(given) if len(alterations) > 1}


Known = tuple[int | None, ...]
"""For each letter the alteration that the marks have set; None where none has."""


def _known(moments: Sequence[Moment], played: Sequence[Hop]) -> list[Known]:
    """What the marks have set up to each moment, as the music is played: along the first way that leads there."""
    before: dict[int, int] = {}
    for hop in played:
        if hop.before < hop.after:
            before[hop.after] = max(hop.before, before.get(hop.after, -1))
    found: list[Known] = []
    for number, moment in enumerate(moments):
        now = found[before[number]] if number in before else (None,) * 7
        if moment.marked:
            now = tuple(moment.marked.get(step, value) for step, value in enumerate(now))
        found.append(now)
    return found


_GOES_ON = re.compile(r"\d|\s*[./*',=!?]")
"""What a text can't stand before: a duration or a pitch that is not over yet."""


def has_pedal(note: Note, harp: HarpProfile) -> bool:
    """Whether a note is one that a pedal can give: on a string with a mechanism, no more than a semitone altered."""
    pitch = note.pitch
    return pitch.alter.denominator == 1 and at_most_a_semitone(pitch) and pitch.string not in harp.fixed


class _Reader:
    def __init__(
        self,
        score: Score,
        player: int,
        notes: list[Note],
        staves: frozenset[int],
        pace: Pace,
        harp: HarpProfile,
        settings: PedalSettings,
    ) -> None:
        self.score, self.player, self.pace, self.harp, self.settings = score, player, pace, harp, settings
        self.notes = [note for note in notes if note.source.unmarkable is not Unmarkable.NOT_PLUCKED]
        self.staves = staves
        self.rests = [gap for gap in score.silences if gap.staff in staves and not gap.spacer and not gap.grace]
        self.time = CountedPace(pace, score.grid.including(pace.starts))
        at = self.time.grid.at
        self.times = [(at(note.moment), at(note.grace)) for note in self.notes]
        self.found: dict[tuple[int, int], Moment] = {}
        self.added: list[tuple[Time, Place, Mark]] = []

    def again(self, added: Sequence[tuple[Time, Place, Mark]]) -> Course:
        """The same course with more marks."""
        other = copy(self)
        other.found, other.added = {}, [*self.added, *added]
        return other.read()

    def read(self) -> Course:
        for note, counted in zip(self.notes, self.times, strict=True):
            moment = self._at((note.moment, note.grace), counted)
            if note.plucked and has_pedal(note, self.harp):
                moment.plucks.setdefault(note.pitch.step, []).append(note)
        for rest in self.rests:
            self._at((rest.moment, rest.grace))
        self._marks()
        times = sorted(self.found)
        moments = [self.found[counted] for counted in times]
        played = hops(times, self.score.repeats, self.time.grid)
        self._opening(moments)
        self._anchors()
        course = Course(self, moments, played, self._key_at(Fraction(0)))
        course.glissandos = list(self._glissandos(moments, played))
        if course.moving:
            sound_on(course.moments, self._starts(), course.glissandos, course.moving, self.time)
        return course

    def _at(self, time: Time, counted: tuple[int, int] | None = None) -> Moment:
        """The moment at a time, which may be given on the grid too."""
        at = self.time.grid.at
        key = counted or (at(time[0]), at(time[1]))
        found = self.found.get(key)
        if found is None:
            found = self.found[key] = Moment(time, key[0])
        return found

    def _marks(self) -> None:
        for text in self.score.texts:
            if text.staff is not None and text.staff not in self.staves:
                continue
            mark = mark_of(text.source, self.score.languages, self.settings)
            if mark is not None:
                self._mark((text.moment, text.grace), text.place, mark)
        for added in self.added:
            self._mark(*added)

    def _mark(self, time: Time, place: Place, mark: Mark) -> None:
        moment = self._at(time)
        moment.marks.append((place, mark))
        moment.marked.update(mark.settings)
        moment.diagram = moment.diagram or mark.diagram

    def _opening(self, moments: Sequence[Moment]) -> None:
        """The diagram that shows the start stands before anything is plucked, or with the first that is."""
        for moment in moments:
            if moment.diagram:
                moment.opening = True
                return
            if moment.plucks:
                return

    def _key_at(self, time: Fraction) -> Setting:
        """The key signature at a time, of the player's uppermost staff that has one."""
        for staff in sorted(self.staves):
            found = [key.alterations for key in self.score.keys if key.staff in (None, staff) and key.moment <= time]
            if found:
                return found[-1]
        return (0,) * 7

    # ---- where marks can stand ----

    def _anchors(self) -> None:
        for note, counted in zip(self.notes, self.times, strict=True):
            if note.source.behind is not None:
                self._anchor(note.source.place, note.source.behind, note.staff, self.found[counted])
        for rest in self.rests:
            text = rest.place.file.text[rest.place.offset : rest.behind]
            if text[:1] in ("r", "R") and not set(text) & set("#$"):
                self._anchor(rest.place, rest.behind, rest.staff, self._at((rest.moment, rest.grace)))
        for moment in (moment for moment in self.found.values() if len(moment.anchors) > 1):
            moment.anchors.sort(key=lambda one: (one.staff, one.place.offset))

    def _anchor(self, place: Place, behind: int, staff: int, moment: Moment) -> None:
        """Between the staves: below the upper one's notes, above the lowest one's."""
        anchors = moment.anchors
        for other in anchors:
            if other.behind == behind and other.place.file == place.file:
                return
        if _GOES_ON.match(place.file.text, behind) is None:
            lowest = staff == max(self.staves) and len(self.staves) > 1
            anchors.append(Anchor(place, behind, staff, 1 if lowest else -1))

    # ---- glissandos ----

    def _glissandos(self, moments: list[Moment], played: Sequence[Hop]) -> Iterator[Glissando]:
        found = list(self._from_to())
        if not found:
            return
        index = {moment.time: number for number, moment in enumerate(moments)}
        known = _known(moments, played)
        for note, end in found:
            first, last = index[note.moment, note.grace], index[end.moment, end.grace]
            setting = self._setting_of(moments, known[first], first, last)
            for step, alteration in enumerate(setting):
                moments[first].wanted[step] = alteration
            settled = any(moment.diagram for moment in moments[: first + 1])
            yield Glissando(first, last, note, setting, settled)

    def _from_to(self) -> Iterator[tuple[Note, Note]]:
        """The notes from which glissandos start, each with the next note of its voice; one a moment."""
        waiting: dict[int, Note] = {}
        seen: set[Time] = set()
        for note in self.notes:
            start = waiting.get(note.voice)
            if start is not None and (start.moment, start.grace) < (note.moment, note.grace):
                del waiting[note.voice]
                if (start.moment, start.grace) not in seen:
                    seen.add((start.moment, start.grace))
                    yield start, note
            if "glissando" in note.marks:
                waiting.setdefault(note.voice, note)

    def _setting_of(self, moments: list[Moment], known: Known, first: int, last: int) -> Setting:
        """What a glissando sounds: the letters as written in it, else as marked before, else by the key signature."""
        key = self._key_at(moments[first].time[0])
        setting = [sign if mark is None else mark for sign, mark in zip(key, known, strict=True)]
        for moment in reversed(moments[first : last + 1]):
            for step in moment.plucks:
                setting[step] = moment.alterations(step)[0]
        return tuple(setting)

    def _starts(self) -> dict[tuple[int, int], list[Sounding]]:
        """By the time at which they begin: what sounds, of the notes that a pedal gives."""
        notes = [number for number, note in enumerate(self.notes) if has_pedal(note, self.harp)]
        found: dict[tuple[int, int], list[Sounding]] = {}
        rings = ring_ends(self.notes, self.times, self.time)
        for number in notes:
            note, (start, grace) = self.notes[number], self.times[number]
            row = found.setdefault((start, grace), [])
            row.append(Sounding(start + (0 if note.grace else self.time.grid.at(note.duration)), False, note))
            if number in rings:
                row.append(Sounding(rings[number], True, note))
        return found
