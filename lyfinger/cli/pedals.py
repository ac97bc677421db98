"""``lyfinger pedals``: the plan of the pedals, to be read or as JSON; or a respelling that can be pedalled."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from typing import Any

from ..marking.player import player_of
from ..pedals.course import Course
from ..pedals.letters import foot_of, letter, spoken
from ..pedals.plan import Change, PedalPlan
from .exit import Exit
from .inscription import inscribed, place_of
from .session import Session, open_sessions, say_messages
from .streams import write_text
from .when import spoken_time, when


def pedals(options: argparse.Namespace) -> int:
    """Run ``lyfinger pedals``; returns the exit status. Raises Refused."""
    sessions = open_sessions(options, options.files)
    say_messages(sessions)
    if options.respell:
        from .respell import respell

        return respell(sessions)
    reports = [report for session in sessions for report in _reports(session)]
    if options.format == "json":
        text = json.dumps({"players": reports}, ensure_ascii=False, indent=1) + "\n"
    else:
        text = "".join(line + "\n" for report in reports for line in _lines(report))
    write_text(text)
    return Exit.DONE


def _reports(session: Session) -> Iterator[dict[str, Any]]:
    """What each player's pedals or levers do, as plain values."""
    if player_of(session.config).settings.harp.levers:
        from .levers import lever_reports

        yield from lever_reports(session)
        return
    outcome = inscribed(session)
    for plan, course in zip(outcome.plans, outcome.courses, strict=True):
        yield {
            "score": str(plan.course.score.place),
            "player": plan.course.player + 1,
            "start": spoken(plan.start),
            "changes": [_change(plan, change, course) for change in plan.changes],
            "difficulties": [
                {
                    **_when(plan.course, one.moment),
                    "place": str(place_of(plan, one.moment)),
                    "letters": [letter(step, plan.settings[one.moment][step]) for step in one.steps],
                    "what": str(one.trouble),
                }
                for one in plan.difficulties
            ],
            "proven": plan.proven,
        }


def _change(plan: PedalPlan, change: Change, course: Course) -> dict[str, Any]:
    return {
        **_when(plan.course, change.moment),
        "place": str(place_of(plan, change.moment)),
        "pedal": letter(change.step, change.alteration),
        "foot": foot_of(change.step),
        "written": change.step in course.moments[change.moment].tells,
    }


def _when(course: Course, moment: int) -> dict[str, Any]:
    return when(course.score, course.moments[moment].time[0], course.staff)


def _lines(report: dict[str, Any]) -> Iterator[str]:
    yield f"{report['score']}: player {report['player']}"
    if "levers" in report:
        from .levers import lever_lines

        yield from lever_lines(report)
        return
    yield f"  start    {report['start']}"
    for change in report["changes"]:
        written = "" if change["written"] else "  (not marked)"
        yield f"  {spoken_time(change)}  {change['pedal']:<3} {change['foot']} foot  {change['place']}{written}"
    for one in report["difficulties"]:
        yield f"  {spoken_time(one)}  {' '.join(one['letters'])}: {one['what']}  {one['place']}"
    if not report["proven"]:
        yield "  not proven best: too much is open"
