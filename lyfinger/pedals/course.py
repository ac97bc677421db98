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
from dataclasses import dataclass, field
from fractions import Fraction

from ..harp.feet import PedalSettings
from ..harp.profile import HarpProfile
from ..score.model import Note, Score, Unmarkable
from ..score.performing import Hop, Time, hops
from ..score.tempo import Pace
from ..source.text import Place
from .letters import Setting
from .marks import Mark, mark_of
from .settings import RING_MS

Strings = dict[int, list[Note]]


@dataclass(frozen=True, slots=True)
class Anchor:
    """A note or rest at which a mark can stand: the mark goes to ``behind``, an offset in the file of ``place``.

    ``staff`` is an index into the score's staves, ``side`` where the text goes (1 above, -1 below).
    """

    place: Place
    behind: int
    staff: int
    side: int


@dataclass(frozen=True, slots=True)
class Glissando:
    """A glissando from one moment (index) to another; ``settled`` where a diagram before it shows its setting."""

    first: int
    last: int
    note: Note
    setting: Setting
    settled: bool


@dataclass(eq=False, slots=True)
class Moment:
    """What one player does at one time.

    ``plucks`` are the notes plucked, by step. ``wanted`` are the alterations that a glissando asks for. ``marked`` is
    what marks in the source set here, ``marks`` the marks themselves. ``under`` names the note of each letter that
    began before and sounds on, ``let_ring`` those of them that only ring. ``ended`` is how long ago (ms) each
    letter's last note ended. ``diagram`` where one stands here, ``opening`` where it is the one that shows the start.
    """

    time: Time
    plucks: Strings = field(default_factory=dict)
    wanted: dict[int, int] = field(default_factory=dict)
    marked: dict[int, int] = field(default_factory=dict)
    marks: list[tuple[Place, Mark]] = field(default_factory=list)
    anchors: list[Anchor] = field(default_factory=list)
    under: dict[int, Note] = field(default_factory=dict)
    let_ring: frozenset[int] = frozenset()
    ended: dict[int, Fraction] = field(default_factory=dict)
    diagram: bool = False
    opening: bool = False

    @property
    def tells(self) -> frozenset[int]:
        """The letters of which a mark here tells that they move. The diagram of the start tells none: it shows how the
        pedals are set before playing, and where the music comes back to it, a change has its own mark."""
        marks = (mark for _, mark in self.marks if not (mark.diagram and self.opening))
        return frozenset(step for mark in marks for step in mark.settings)

    def alterations(self, step: int) -> list[int]:
        """The alterations of a letter that are needed here, lowest first; none where it is not plucked."""
        found = {int(note.pitch.alter) for note in self.plucks.get(step, ())}
        return sorted(found) if found else [self.wanted[step]] if step in self.wanted else []


@dataclass(eq=False)
class Course:
    """One player's part of a score, moment by moment in printed order; ``notes`` and ``staves`` are the player's.

    ``hops`` say which moment is played after which.
    """

    score: Score
    player: int
    pace: Pace
    notes: list[Note]
    staves: frozenset[int]
    moments: list[Moment]
    hops: list[Hop]
    glissandos: list[Glissando]
    key: Setting
    reader: _Reader

    @property
    def staff(self) -> int | None:
        """The first of the player's staves, whose bars are told; None where there is none."""
        return min(self.staves, default=None)

    def with_marks(self, more: Sequence[tuple[int, Place, Mark]]) -> Course:
        """The course as it would be read if these marks stood at its moments (indices)."""
        added = [(self.moments[number].time, place, mark) for number, place, mark in more]
        return self.reader.again(added)

    def milliseconds(self, first: int, last: int) -> Fraction:
        """Printed time from one moment to a later one."""
        return self.pace.milliseconds(self.moments[first].time[0], self.moments[last].time[0])


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
_LONG = Fraction(8)
"""Whole notes for which a string may ring at the end of its voice: longer than ``RING_MS`` at any tempo of music."""


def has_pedal(note: Note, harp: HarpProfile) -> bool:
    """Whether a note is one that a pedal can give: on a string with a mechanism, no more than a semitone altered."""
    alter = note.pitch.alter
    return alter.denominator == 1 and -1 <= alter.numerator <= 1 and note.pitch.string not in harp.fixed


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
        self.found: dict[Time, Moment] = {}
        self.added: list[tuple[Time, Place, Mark]] = []

    def again(self, added: Sequence[tuple[Time, Place, Mark]]) -> Course:
        """The same course with more marks."""
        other = copy(self)
        other.found, other.added = {}, [*self.added, *added]
        return other.read()

    def read(self) -> Course:
        for note in self.notes:
            moment = self._at((note.moment, note.grace))
            if note.plucked and has_pedal(note, self.harp):
                moment.plucks.setdefault(note.pitch.step, []).append(note)
        for rest in self.rests:
            self._at((rest.moment, rest.grace))
        self._marks()
        times = sorted(self.found)
        moments = [self.found[time] for time in times]
        played = hops(times, self.score.repeats)
        self._opening(moments)
        self._anchors()
        key = self._key_at(Fraction(0))
        course = Course(self.score, self.player, self.pace, self.notes, self.staves, moments, played, [], key, self)
        course.glissandos = list(self._glissandos(moments, _known(moments, played)))
        self._sound(course)
        return course

    def _at(self, time: Time) -> Moment:
        if time not in self.found:
            self.found[time] = Moment(time)
        return self.found[time]

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
        for note in self.notes:
            if note.source.behind is not None:
                self._anchor(note.source.place, note.source.behind, note.staff, (note.moment, note.grace))
        for rest in self.rests:
            text = rest.place.file.text[rest.place.offset : rest.behind]
            if text[:1] in ("r", "R") and not set(text) & set("#$"):
                self._anchor(rest.place, rest.behind, rest.staff, (rest.moment, rest.grace))
        for moment in self.found.values():
            moment.anchors.sort(key=lambda one: (one.staff, one.place.offset))

    def _anchor(self, place: Place, behind: int, staff: int, time: Time) -> None:
        """Between the staves: below the upper one's notes, above the lowest one's."""
        lowest = staff == max(self.staves) and len(self.staves) > 1
        anchor = Anchor(place, behind, staff, 1 if lowest else -1)
        anchors = self.found[time].anchors
        if _GOES_ON.match(place.file.text, behind) is None and all(
            (other.place.file, other.behind) != (place.file, behind) for other in anchors
        ):
            anchors.append(anchor)

    # ---- glissandos ----

    def _glissandos(self, moments: list[Moment], known: Sequence[Known]) -> Iterator[Glissando]:
        index = {moment.time: number for number, moment in enumerate(moments)}
        for note, end in self._from_to():
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

    # ---- what sounds on ----

    def _sound(self, course: Course) -> None:
        """What sounds through each moment, and how long ago each letter ended."""
        sounding: dict[int, list[tuple[Fraction, bool, Note]]] = {}
        ends: dict[int, tuple[Fraction, Fraction]] = {}  # moments, and milliseconds from the beginning
        starts = self._by_time()
        gliding = {glissando.first: glissando for glissando in course.glissandos}
        for number, moment in enumerate(course.moments):
            here = moment.time[0]
            for step, notes in sounding.items():
                going = [item for item in notes if item[0] > here]
                sounding[step] = going
                if going:
                    moment.under[step] = going[0][2]
            rings = {step for step, notes in sounding.items() if notes and all(ring for _, ring, _ in notes)}
            moment.let_ring = frozenset(rings)
            now = self.pace.milliseconds(Fraction(0), here)
            moment.ended = {step: now - then if then < now else Fraction(0) for step, (_, then) in ends.items()}
            for end, ring, note in starts.get(moment.time, ()):
                if not note.plucked and end > here:  # tied: it has sounded before
                    moment.under.setdefault(note.pitch.step, note)
                    moment.let_ring -= {note.pitch.step}
                sounding.setdefault(note.pitch.step, []).append((end, ring, note))
                self._end(ends, note.pitch.step, end)
            if number in gliding:
                goal = course.moments[gliding[number].last].time[0]
                for step in range(7):
                    sounding.setdefault(step, []).append((goal, False, gliding[number].note))
                    self._end(ends, step, goal)

    def _end(self, ends: dict[int, tuple[Fraction, Fraction]], step: int, end: Fraction) -> None:
        """A letter sounds until ``end`` at least."""
        if step not in ends or ends[step][0] < end:
            ends[step] = end, self.pace.milliseconds(Fraction(0), end)

    def _by_time(self) -> dict[Time, list[tuple[Fraction, bool, Note]]]:
        """By the time at which they begin: until when notes sound, whether they only ring so long, and the notes.

        A grace note is over when its main note sounds.
        """
        found: dict[Time, list[tuple[Fraction, bool, Note]]] = {}
        ring_ends = self._ring_ends()
        for number, note in enumerate(self.notes):
            if not has_pedal(note, self.harp):
                continue
            end = note.moment + (Fraction(0) if note.grace else note.duration)
            row = found.setdefault((note.moment, note.grace), [])
            row.append((end, False, note))
            if number in ring_ends:
                row.append((ring_ends[number], True, note))
        return found

    def _ring_ends(self) -> dict[int, Fraction]:
        """Until when the notes that are let ring sound, by their number."""
        found: dict[int, Fraction] = {}
        following: dict[int, Fraction] = {}
        latest: dict[int, Fraction] = {}
        for number in range(len(self.notes) - 1, -1, -1):
            note = self.notes[number]
            if note.moment != latest.get(note.voice):
                following[note.voice] = latest.get(note.voice, note.moment + note.duration + _LONG)
                latest[note.voice] = note.moment
            end = following[note.voice]
            if "laissezVibrer" in note.marks and end > note.moment + note.duration:
                whole = self.pace.milliseconds(note.moment, end)
                ring = end if whole <= RING_MS else note.moment + (end - note.moment) * RING_MS / whole
                found[number] = max(ring, note.moment + note.duration)
        return found
