"""The marks on the page: which note or rest gets which text, and the text itself.

A change is printed as the trade prints it: letter and sign at the note where the foot moves, for two feet a stack, the
right foot's (E F G A) above the left foot's (D C B): common practice of the trade, no source. The starting setting is
the typesetter's own ``\\harp-pedal``. Between the staves there is most room, and no digit stands there: engraved pages
of LilyPond 2.25.12, looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from ..score.pitch import LETTERS
from ..source.edits import Insertion
from ..source.text import Place, SourceFile
from .course import Course
from .letters import LEFT_FOOT, RIGHT_FOOT, Setting, diagram
from .marks import Mark
from .moments import Anchor
from .plan import PedalPlan

_COMMANDS = {-1: "\\flat", 0: "\\natural", 1: "\\sharp"}

Spot = tuple[SourceFile, int]
"""A file and the offset in it at which a text goes in."""
Soundings = Mapping[Spot, list[tuple[int, int]]]
"""Where each spot sounds: the number of its course, and the moment."""
Planner = Callable[[Course, frozenset[int]], PedalPlan]


def change_text(changes: Mapping[int, int]) -> str:
    """The markup of the changes at one moment, by step.

    >>> print(change_text({3: 1}))
    \\markup \\concat { F \\super \\sharp }
    """
    rows = [[_letter(step, changes[step]) for step in foot if step in changes] for foot in (RIGHT_FOOT, LEFT_FOOT)]
    lines = [row[0] if len(row) == 1 else f"\\line {{ {' '.join(row)} }}" for row in rows if row]
    return f"\\markup {lines[0]}" if len(lines) == 1 else f"\\markup \\center-column {{ {' '.join(lines)} }}"


def start_text(setting: Setting) -> str:
    """The markup of a starting setting."""
    return f'\\markup \\harp-pedal "{diagram(setting)}"'


def _letter(step: int, alteration: int) -> str:
    return f"\\concat {{ {LETTERS[step]} \\super {_COMMANDS[alteration]} }}"


class _Spot:
    __slots__ = ("changes", "side", "start")

    def __init__(self, side: int) -> None:
        self.side = side
        self.changes: dict[int, int] = {}
        self.start: Setting | None = None

    @property
    def text(self) -> str:
        sign = "^" if self.side > 0 else "_"
        texts = [start_text(self.start)] if self.start is not None else []
        return "".join(sign + text for text in (*texts, *([change_text(self.changes)] if self.changes else [])))


class Inscribed(NamedTuple):
    """The plans of a run, the courses as they stand in the source, parallel to them, and the texts that go in, by file;
    ``left_out`` are plans whose start has no place."""

    plans: tuple[PedalPlan, ...]
    courses: tuple[Course, ...]
    texts: Mapping[SourceFile, tuple[Insertion, ...]]
    left_out: tuple[PedalPlan, ...] = ()


def inscribe(courses: Sequence[Course], planner: Planner) -> Inscribed:
    """Plan all courses of a run, and find the place of each mark.

    A note that sounds several times (a variable used twice, a part and its score) prints its mark each time; it gets
    one only where the pedals stand so at each of them. Where that leaves a change no place, the moment is given up and
    the course planned again. What was given up may have a place once the other marks stand: so all is done once more
    with these, until no mark is added. A later run on the marked source then adds none.
    """
    given = tuple(courses)
    soundings = _soundings(courses)
    texts: dict[Spot, str] = {}
    while True:
        plans, given_up = _placed(courses, planner, soundings)
        spots, left_out = _Page(plans, soundings).written()
        for spot, found in spots.items():
            texts[spot] = found.text + texts.get(spot, "")
        if not given_up or not spots:
            break
        courses = _bearing(courses, spots, soundings)
    by_file: dict[SourceFile, list[Insertion]] = {}
    for (file, offset), text in texts.items():
        by_file.setdefault(file, []).append(Insertion(offset, text))
    return Inscribed(tuple(plans), given, {file: tuple(sorted(found)) for file, found in by_file.items()}, left_out)


def _placed(courses: Sequence[Course], planner: Planner, soundings: Soundings) -> tuple[list[PedalPlan], bool]:
    """A plan for each course whose changes have a place, and whether moments had to be given up for that."""
    closed: list[frozenset[int]] = [frozenset() for _ in courses]
    plans = [planner(course, frozenset()) for course in courses]
    page = _Page(plans, soundings)
    while any(failed := page.failed(closed)):
        for number, more in enumerate(failed):
            if more:
                closed[number] |= more
                plans[number] = planner(courses[number], closed[number])
    return plans, any(closed)


def _bearing(courses: Sequence[Course], spots: Mapping[Spot, _Spot], soundings: Soundings) -> list[Course]:
    """The courses with the marks, wherever they sound."""
    more: list[list[tuple[int, Place, Mark]]] = [[] for _ in courses]
    for spot, found in spots.items():
        for number, at in soundings[spot]:
            if found.start is not None:
                more[number].append((at, Place(*spot), Mark(dict(enumerate(found.start)), True)))
            if found.changes:
                more[number].append((at, Place(*spot), Mark(dict(found.changes))))
    return [course.with_marks(marks) for course, marks in zip(courses, more, strict=True)]


def _soundings(courses: Sequence[Course]) -> Soundings:
    found: dict[Spot, list[tuple[int, int]]] = {}
    for number, course in enumerate(courses):
        for at, moment in enumerate(course.moments):
            for anchor in moment.anchors:
                found.setdefault(_spot(anchor), []).append((number, at))
    return found


def _spot(anchor: Anchor) -> Spot:
    return anchor.place.file, anchor.behind


class _Page(NamedTuple):
    """The plans of a run as they stand, and where each spot sounds."""

    plans: Sequence[PedalPlan]
    soundings: Soundings

    def failed(self, closed: Sequence[frozenset[int]]) -> list[set[int]]:
        """For each plan, the moments with a change that has no place and that are not given up yet."""
        return [
            {
                change.moment
                for change in plan.changes
                if not change.written
                and change.moment not in closed[number]
                and plan.course.moments[change.moment].anchors
                and self._anchor(plan, change.moment, {change.step: change.alteration}) is None
            }
            for number, plan in enumerate(self.plans)
        ]

    def _anchor(self, plan: PedalPlan, moment: int, changes: Mapping[int, int]) -> Anchor | None:
        """The anchor of a moment at which these changes are true wherever it sounds; one that sounds once before
        others."""
        anchors = plan.course.moments[moment].anchors
        for anchor in sorted(anchors, key=lambda one: len(self.soundings[_spot(one)]) > 1):
            settings = (self.plans[other].settings[at] for other, at in self.soundings[_spot(anchor)])
            if all(setting[step] == value for setting in settings for step, value in changes.items()):
                return anchor
        return None

    def written(self) -> tuple[dict[Spot, _Spot], tuple[PedalPlan, ...]]:
        """What goes to each spot, and the plans whose start has no place."""
        spots: dict[Spot, _Spot] = {}
        left_out = tuple(plan for plan in self.plans if not self._write_start(plan, spots))
        for plan in self.plans:
            by_moment: dict[int, dict[int, int]] = {}
            for change in plan.changes:
                if not change.written:
                    by_moment.setdefault(change.moment, {})[change.step] = change.alteration
            for moment, changes in by_moment.items():
                self._write_changes(plan, moment, changes, spots)
        return spots, left_out

    def _write_changes(
        self, plan: PedalPlan, moment: int, changes: Mapping[int, int], spots: dict[Spot, _Spot]
    ) -> None:
        """Together at one anchor, so that two feet make a stack; where none suits all, each at its own."""
        together = self._anchor(plan, moment, changes)
        for step, alteration in changes.items():
            anchor = together or self._anchor(plan, moment, {step: alteration})
            if anchor is not None and not plan.course.moments[moment].time[1]:
                spots.setdefault(_spot(anchor), _Spot(anchor.side)).changes[step] = alteration

    def _write_start(self, plan: PedalPlan, spots: dict[Spot, _Spot]) -> bool:
        """The starting setting at the first moment, or at the first behind it that comes before any pluck; returns
        whether it is shown."""
        if plan.shows_start:
            return True
        whole = dict(enumerate(plan.start))
        for number, moment in enumerate(plan.course.moments):
            anchor = self._anchor(plan, number, whole)
            if anchor is not None and plan.settings[number] == plan.start:
                spots.setdefault(_spot(anchor), _Spot(anchor.side)).start = plan.start
                return True
            if moment.plucks:
                return False
        return False
