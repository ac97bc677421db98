"""The pedal plan of one player's part: how the pedals stand before the start, each change, and what can't be."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from enum import StrEnum
from typing import NamedTuple

from ..harp.feet import PedalSettings
from ..score.model import Note
from ..source.text import Place
from .course import Course
from .framing import Frame
from .letters import FEET, Setting, foot_of
from .problem import Problem, crowd, moved
from .settings import PEDAL_MS
from .solve import solve


class Change(NamedTuple):
    """A pedal that moves at a moment (index); ``written`` where a mark in the source says so already."""

    moment: int
    step: int
    alteration: int
    written: bool


class Trouble(StrEnum):
    """Why something can't be, or not well."""

    CLASH = "one letter is plucked in two alterations at once"
    UNDER = "a pedal moves under a string that sounds"
    CROWDED = "one foot has two pedals to move at one moment"
    HURRIED = "one foot has too little time from one move to the next"
    CONTRADICTED = "a mark says otherwise than a note"
    UNPRINTABLE = "a change falls where no mark can stand"


class Difficulty(NamedTuple):
    """A trouble at a moment (index), with the letters that it is about.

    ``sounding`` is the note that still sounds; ``place`` that of the mark; ``milliseconds`` the time that there is.
    """

    trouble: Trouble
    moment: int
    steps: tuple[int, ...]
    sounding: Note | None = None
    place: Place | None = None
    milliseconds: int = 0


class PedalPlan:
    """``settings`` are how the pedals stand from each moment of the course on; the first is the starting setting.

    ``proven`` is False where so much was open that no plan was proven best.
    """

    __slots__ = ("changes", "course", "difficulties", "proven", "settings")

    def __init__(
        self,
        course: Course,
        settings: tuple[Setting, ...],
        changes: tuple[Change, ...],
        difficulties: tuple[Difficulty, ...],
        proven: bool,
    ) -> None:
        self.course = course
        self.settings = settings
        self.changes = changes
        self.difficulties = difficulties
        self.proven = proven

    @property
    def start(self) -> Setting:
        """How the pedals are set before playing."""
        return self.settings[0] if self.settings else self.course.key

    @property
    def shows_start(self) -> bool:
        """Whether a diagram in the source shows the starting setting, before or where anything is plucked."""
        return any(moment.opening for moment in self.course.moments)


def plan_pedals(course: Course, settings: PedalSettings, unprintable: Collection[int] = ()) -> PedalPlan:
    """The plan of least cost for a course: see :data:`.problem.MEASURES`. Each foot by itself, since neither hinders
    the other, and of its pedals those that may move: what stands still costs nothing and hinders nothing.

    ``unprintable`` are moments (indices) where no mark may stand.
    """
    frame = Frame(course)
    moving = frame.moving
    feet = [pedals for foot in FEET.values() if (pedals := tuple([step for step in foot if step in moving]))]
    problems = {pedals: frame.problem(pedals, settings, unprintable) for pedals in feet}
    count = len(course.moments)
    columns = {step: [frame.still(step)] * count for step in range(7) if step not in moving}
    proven = True
    for pedals, problem in problems.items():
        answer = solve(problem)
        proven = proven and answer.proven
        for at, step in enumerate(pedals):
            columns[step] = [state[at] for state in answer.states]
    rows = tuple(zip(*[columns[step] for step in range(7)], strict=True))
    changes = tuple(_changes(frame, rows))
    return PedalPlan(course, rows, changes, tuple(_troubles(frame, rows, problems, unprintable)), proven)


def _changes(frame: Frame, rows: tuple[Setting, ...]) -> Iterator[Change]:
    """The changes in printed order, those of both feet and of every way to a moment."""
    seen: set[tuple[int, int]] = set()
    for hop in sorted(frame.course.hops, key=lambda hop: (hop.after, hop.before)):
        before, after = hop.before, hop.after
        for step in moved(rows[before], rows[after]):
            if (after, step) not in seen:
                seen.add((after, step))
                written = step in frame.course.moments[after].tells
                yield Change(after, step, rows[after][step], written)


def _troubles(
    frame: Frame, rows: tuple[Setting, ...], problems: Mapping[tuple[int, ...], Problem], unprintable: Collection[int]
) -> Iterator[Difficulty]:
    found = [
        *_clashes(frame.course),
        *_contradictions(frame.course),
        *_on_hops(frame, rows, unprintable),
        *_crowds(frame, rows, problems),
        *_hurry(frame, rows),
    ]
    yield from sorted(dict.fromkeys(found), key=lambda one: (one.moment, one.trouble.name, one.steps))


def _clashes(course: Course) -> Iterator[Difficulty]:
    for number, moment in enumerate(course.moments):
        for step in moment.plucks.keys() & course.moving:
            if len(moment.alterations(step)) > 1:
                yield Difficulty(Trouble.CLASH, number, (step,), moment.plucks[step][0])


def _contradictions(course: Course) -> Iterator[Difficulty]:
    for number, moment in enumerate(course.moments):
        for place, mark in moment.marks:
            for step, alteration in mark.settings.items():
                plucked = moment.plucks.get(step)
                if plucked and alteration not in moment.alterations(step):
                    yield Difficulty(Trouble.CONTRADICTED, number, (step,), plucked[0], place)


def _on_hops(frame: Frame, rows: tuple[Setting, ...], unprintable: Collection[int]) -> Iterator[Difficulty]:
    for before, after, _ in frame.course.hops:
        moment = frame.course.moments[after]
        for step in moved(rows[before], rows[after]):
            if step in moment.under:
                yield Difficulty(Trouble.UNDER, after, (step,), moment.under[step])
            bare = not moment.anchors or moment.time[1] or after in unprintable
            if bare and step not in moment.tells:
                yield Difficulty(Trouble.UNPRINTABLE, after, (step,))


def _crowds(
    frame: Frame, rows: tuple[Setting, ...], problems: Mapping[tuple[int, ...], Problem]
) -> Iterator[Difficulty]:
    fresh = _marked_first(frame.course) if problems else []
    for pedals, problem in problems.items():
        for before, after, since in frame.hops:
            if rows[before] == rows[after] and not fresh[after]:
                continue
            found = moved(tuple(rows[before][step] for step in pedals), tuple(rows[after][step] for step in pedals))
            moves = sorted({*found, *(at for at, step in enumerate(pedals) if step in fresh[after])})
            if crowd(problem, after, moves, since):
                yield Difficulty(Trouble.CROWDED, after, tuple(pedals[at] for at in moves))


def _marked_first(course: Course) -> list[set[int]]:
    """At each moment the letters that are marked there, but for a diagram, and of which nothing was known before: a
    mark says that the pedal moves."""
    known: set[int] = set()
    found = []
    for number, moment in enumerate(course.moments):
        marked = {step for _, mark in moment.marks if not mark.diagram for step in mark.settings}
        found.append(marked - known if number else set())
        known |= {*moment.plucks, *moment.wanted, *moment.marked}
    return found


def _hurry(frame: Frame, rows: tuple[Setting, ...]) -> Iterator[Difficulty]:
    """Moves of one foot sooner after one another than it can go, in printed order."""
    ordinary = {after for before, after, _ in frame.course.hops if after == before + 1}
    last: dict[str, tuple[int, int]] = {}
    for number in range(1, len(rows)):
        if number not in ordinary:
            last = {}
            continue
        now: dict[str, tuple[int, int]] = {}
        for step in moved(rows[number - 1], rows[number]):
            foot = foot_of(step)
            if foot in last and frame.clock[number] - frame.clock[last[foot][0]] < PEDAL_MS:
                time = frame.clock[number] - frame.clock[last[foot][0]]
                yield Difficulty(Trouble.HURRIED, number, (last[foot][1], step), milliseconds=time)
            now[foot] = (number, step)
        last |= now
