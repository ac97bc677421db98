"""The pedals of a session: its plans, their marks, and the proof that they are read again as they were meant."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from ..config import Config
from ..marking.plan import RootPlan, prove
from ..marking.player import pedals_of, player_of
from ..marking.proof import Outcome
from ..marking.spread import Spread
from ..pedals.course import Course
from ..pedals.plan import PedalPlan, plan_pedals
from ..pedals.players import courses
from ..pedals.writing import Inscribed, inscribe
from ..score.model import Reading
from ..source.messages import Message, Refused, Severity
from ..source.text import Place, SourceFile
from .session import Session
from .streams import say


def courses_of(config: Config, root: RootPlan) -> list[Course]:
    """The courses of all players of a root's printed scores."""
    harp, settings = player_of(config).settings.harp, pedals_of(config)
    triples = zip(root.scores, root.hands, root.paces, strict=True)
    return [course for score, hands, pace in triples for course in courses(score, hands, pace, harp, settings)]


def inscribed(session: Session) -> Inscribed:
    """The plans of a session and the texts that go into its files."""
    settings = pedals_of(session.config)
    found = [course for root in session.plan.roots for course in courses_of(session.config, root)]
    return inscribe(found, lambda course, closed: plan_pedals(course, settings, closed))


def prove_with_pedals(session: Session, spread: Spread) -> dict[SourceFile, Outcome]:
    """As :func:`..marking.plan.prove`, with the marks of the pedals. Raises Refused.

    What can't be pedalled is said on standard error, since the command goes on; a lever harp has no pedals.
    """
    if player_of(session.config).settings.harp.levers:
        raise Refused("mark: --pedals is for a pedal harp; lyfinger pedals lists the levers")
    outcome = inscribed(session)
    for plan in outcome.plans:
        for message in _unmarked(plan, outcome):
            say(message)
    again = partial(_refuse_unless_shown, session.config, outcome.plans)
    return prove(session.plan, session.library, spread, outcome.texts, again)


def _unmarked(plan: PedalPlan, outcome: Inscribed) -> Iterator[Message]:
    if plan.difficulties:
        first = plan.difficulties[0]
        place = place_of(plan, first.moment)
        times = "1 change" if len(plan.difficulties) == 1 else f"{len(plan.difficulties)} changes"
        text = f"{times} of the pedals can't be made as written, this one first: lyfinger check says why"
        score, moment = plan.course.score, plan.course.moments[first.moment].time[0]
        bar = score.bar_at(moment, plan.course.staff).number if score.bars else None
        yield Message(Severity.WARNING, place, text, "pedal-plan", bar=bar)
    if plan in outcome.left_out:
        text = "the starting setting has no note or rest to stand at"
        yield Message(Severity.WARNING, place_of(plan, 0), text, "pedal-plan")
    if not plan.proven:
        text = "so much is open that this plan of the pedals was not proven best"
        yield Message(Severity.WARNING, place_of(plan, 0), text, "pedal-plan")


def place_of(plan: PedalPlan, moment: int) -> Place:
    """Where a moment stands in the source."""
    for one in [*plan.course.moments[moment:], *reversed(plan.course.moments[:moment])]:
        notes = [note for notes in one.plucks.values() for note in notes]
        if notes:
            return min(notes, key=lambda note: note.order).source.place
    return plan.course.score.place


def _refuse_unless_shown(config: Config, plans: tuple[PedalPlan, ...], root: RootPlan, again: Reading) -> None:
    """Raise Refused unless the marks, read again, set the pedals as planned and leave nothing to be marked."""
    printed = tuple(score for score in again.scores if score.printed)
    read = courses_of(config, root._replace(scores=printed))
    own = [plan for plan in plans if plan.course.score in root.scores]
    if len(read) != len(own) or not all(_shows(plan, course) for plan, course in zip(own, read, strict=True)):
        text = "internal error: the pedal marks would be read otherwise; nothing is written"
        raise Refused(text, root.scores[0].place if root.scores else None)


def _shows(plan: PedalPlan, course: Course) -> bool:
    """Whether the marks of a course are those of a plan: each change that can be printed, and nothing else."""
    if [moment.time for moment in course.moments] != [moment.time for moment in plan.course.moments]:
        return False
    wanted = [dict(moment.marked) for moment in plan.course.moments]
    for change in plan.changes:
        wanted[change.moment].setdefault(change.step, change.alteration)
    for number, moment in enumerate(course.moments):
        true = all(plan.settings[number][step] == value for step, value in moment.marked.items())
        gone = not set(wanted[number]) <= set(moment.marked) and plan.course.moments[number].anchors
        if not true or (gone and not plan.course.moments[number].time[1] and not plan.difficulties):
            return False
    return True
