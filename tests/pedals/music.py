"""Courses and plans for tests, from a few lines of LilyPond."""

from __future__ import annotations

from lyfinger.hands.assign import assign
from lyfinger.harp.feet import PedalSettings
from lyfinger.harp.profile import HARPS
from lyfinger.pedals.course import Course
from lyfinger.pedals.letters import letter
from lyfinger.pedals.plan import PedalPlan, plan_pedals
from lyfinger.pedals.players import courses
from lyfinger.score.tempo import pace

from ..score.sources import reading_of

PLAIN = PedalSettings()


def staves(upper: str, lower: str = "s1") -> str:
    """Source with two staves of one player."""
    return f"\\score {{ \\new PianoStaff << \\new Staff {{ {upper} }} \\new Staff {{ \\clef bass {lower} }} >> }}"


def course_in(source: str, settings: PedalSettings = PLAIN, harp: str = "pedal") -> Course:
    """The course of the first player in a source."""
    score = reading_of(source).scores[0]
    return courses(score, assign(score, {}), pace(score), HARPS[harp], settings)[0]


def plan_of(upper: str, lower: str = "s1", settings: PedalSettings = PLAIN) -> PedalPlan:
    """The plan of two staves."""
    return plan_pedals(course_in(staves(upper, lower), settings), settings)


def told(plan: PedalPlan) -> list[str]:
    """The changes of a plan: ``bar.beat F♯``."""
    score = plan.course.score
    times = [plan.course.moments[change.moment].time[0] for change in plan.changes]
    return [
        f"{score.bar_at(time).number}.{score.beat_at(time)} {letter(change.step, change.alteration)}"
        for change, time in zip(plan.changes, times, strict=True)
    ]


def troubles(plan: PedalPlan) -> list[str]:
    """The names of what can't be."""
    return [one.trouble.name for one in plan.difficulties]
