"""Rules on the feet: what the pedals can't do, or not in time, and what the page says of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..score.model import Note
from ..score.pitch import respellings
from ..score.tempo import pace
from ..source.messages import Message, Severity
from .draft import Draft, message

if TYPE_CHECKING:  # loaded by the rules themselves: mark looks at the registry too, and has no need of pedals
    from ..pedals.course import Course
    from ..pedals.plan import Difficulty, PedalPlan


def pedal_under_sounding_string(draft: Draft) -> Iterator[Message]:
    """A pedal that has to move while a string of its letter sounds.

    Applies when: two notes of one letter, in any octave and either hand, are altered differently, and the second is
    due before the first has ended (written length, ties, l.v.); no plan of the pedals avoids it.
    Says: both notes, and the twin that would serve. An error; a warning where the first one is only let ring.
    Source: [T] a letter is in use until every note of it has ended; that a pedal moves every string of its letter: [P]
    E. Volpé Bligh, Writing for the Pedal Harp. How long l.v. rings is from memory.
    """
    from ..pedals.letters import letter

    for plan in plans(draft):
        for one in _troubles(plan, "UNDER"):
            moment = plan.course.moments[one.moment]
            step = one.steps[0]
            due = _due(plan.course, one.moment, step)
            assert one.sounding is not None
            rings = step in moment.let_ring
            sounds = "is let ring" if rings else "still sounds"
            since = f"{one.sounding.pitch.name}{_in_bar(plan.course, one.sounding)} {sounds}"
            wanted = letter(step, plan.settings[one.moment][step])
            text = f"the pedal must go to {wanted} while {since}{_twin(due, one.sounding)}"
            severity = Severity.WARNING if rings else Severity.ERROR
            yield message(plan.course.score, due or one.sounding, severity, "pedal-under-sounding-string", text)


def pedals_of_one_foot(draft: Draft) -> Iterator[Message]:
    """Two pedals for one foot at one moment.

    Applies when: the best plan, with the marks that stand in the source, has one foot move two pedals at one moment and
    no rest in which to do it: the left foot has D, C and B, the right foot E, F, G and A. Two neighbours pass where
    the settings say that this player moves them with one foot; D with B never.
    Says: the pedals and the foot. An error.
    Source: [T]; which foot has which pedals: [P] E. Volpé Bligh, Writing for the Pedal Harp.
    """
    from ..pedals.letters import foot_of, letter

    for plan in plans(draft):
        for one in _troubles(plan, "CROWDED"):
            changes = " and ".join(letter(step, plan.settings[one.moment][step]) for step in one.steps)
            text = f"{changes} at one moment, and both are the {foot_of(one.steps[0])} foot's"
            yield _at(plan.course, one.moment, Severity.ERROR, "pedals-of-one-foot", text)


def pedals_too_fast(draft: Draft) -> Iterator[Message]:
    """Pedals that follow one another faster than a foot goes.

    Applies when: in the best plan one foot has less than half a second from one pedal to the next.
    Says: both pedals, the foot and the time. A warning.
    Source: [P] E. Volpé Bligh, Writing for the Pedal Harp (about two moves a second, four where two are on each side).
    """
    from ..pedals.letters import foot_of, letter

    for plan in plans(draft):
        for one in _troubles(plan, "HURRIED"):
            first, second = (letter(step, plan.settings[one.moment][step]) for step in one.steps)
            time = f"{one.milliseconds} ms from {first} to {second}"
            text = f"the {foot_of(one.steps[1])} foot has {time}: about two pedals a second are possible"
            yield _at(plan.course, one.moment, Severity.WARNING, "pedals-too-fast", text)


def pedal_mark_contradicts(draft: Draft) -> Iterator[Message]:
    """A pedal mark that says otherwise than a note.

    Applies when: a note is plucked where a mark, or a diagram, sets its letter to another alteration.
    Says: the mark's letter and the note. An error.
    Source: derived: the string sounds as its pedal stands ([P] E. Volpé Bligh, Writing for the Pedal Harp).
    """
    from ..pedals.letters import letter

    for plan in plans(draft):
        for one in _troubles(plan, "CONTRADICTED"):
            assert one.place is not None
            assert one.sounding is not None
            marked = plan.course.moments[one.moment].marked[one.steps[0]]
            text = f"{letter(one.steps[0], marked)} is marked here, but {one.sounding.pitch.name} is to be played"
            found = message(plan.course.score, one.sounding, Severity.ERROR, "pedal-mark-contradicts", text)
            yield Message(found.severity, one.place, text, found.rule, bar=found.bar)


def pedal_mark_missing(draft: Draft) -> Iterator[Message]:
    """A pedal that moves without a mark in a part that has pedal marks.

    Applies when: a part has a pedal mark or a diagram, and the notes need a change that no mark shows.
    Says: the first such change of a part, and how many there are. A warning: mark --pedals adds them.
    Source: common practice of the trade, no source.
    """
    from ..pedals.letters import letter

    for plan in plans(draft):
        if not any(moment.marks for moment in plan.course.moments):
            continue
        missing = [change for change in plan.changes if not change.written]
        if missing:
            first = missing[0]
            others = f" ({len(missing)} changes of this part have none)" if len(missing) > 1 else ""
            text = f"the pedal moves to {letter(first.step, first.alteration)} without a mark{others}"
            yield _at(plan.course, first.moment, Severity.WARNING, "pedal-mark-missing", text)


def glissando_setting(draft: Draft) -> Iterator[Message]:
    """A glissando whose setting nothing shows.

    Applies when: a glissando begins, and no diagram stands in the part up to there. Its letters are then read as
    they are marked, else from the key signature, but for its own notes.
    Says: the setting as read. A warning: write the diagram if another is meant. Twins in a glissando are normal.
    Source: [T] a glissando sounds all seven letters: its setting is whole.
    """
    from ..pedals.letters import spoken

    for plan in plans(draft):
        for one in plan.course.glissandos:
            if not one.settled:
                text = f"this glissando is read as {spoken(one.setting)}; write its setting if another is meant"
                yield message(plan.course.score, one.note, Severity.WARNING, "glissando-setting", text)


def plans(draft: Draft) -> list[PedalPlan]:
    """The plan of each player of each score, worked out once for a draft; none on a lever harp."""
    from ..pedals.plan import plan_pedals
    from ..pedals.players import courses

    if "pedals" not in draft.memo:
        harp = draft.reach.harp
        found = [
            course
            for part in draft.parts
            for course in courses(part.score, part.hands, part.pace or pace(part.score), harp, draft.pedals)
            if not harp.levers
        ]
        draft.memo["pedals"] = [plan_pedals(course, draft.pedals) for course in found]
    return list(draft.memo["pedals"])


def _troubles(plan: PedalPlan, trouble: str) -> list[Difficulty]:
    return [one for one in plan.difficulties if one.trouble.name == trouble]


def _due(course: Course, start: int, step: int) -> Note | None:
    """The first note of a letter that is plucked at a moment or behind it."""
    return next((moment.plucks[step][0] for moment in course.moments[start:] if step in moment.plucks), None)


def _in_bar(course: Course, note: Note) -> str:
    return f" of bar {course.score.bar_of(note).number}" if course.score.bars else ""


def _twin(*notes: Note | None) -> str:
    """What would serve instead, for the first of the notes that has a twin."""
    for note in notes:
        if note is not None:
            ways = [pitch for pitch in respellings(note.pitch) if pitch != note.pitch]
            if ways:
                return f"; {ways[0].name} would serve for {note.pitch.name}"
    return ""


def _at(course: Course, moment: int, severity: Severity, rule: str, text: str) -> Message:
    """A message at a moment of a course: at the mark there, else at its first note or rest, else at a note near it."""
    here = course.moments[moment]
    places = [place for place, _ in here.marks] or [anchor.place for anchor in here.anchors]
    bar = course.score.bar_at(here.time[0], course.staff).number if course.score.bars else None
    return Message(severity, places[0] if places else course.score.place, text, rule, bar=bar)
