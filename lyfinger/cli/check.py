"""``lyfinger check``: what a harpist would send back, and an exit status fit for a build."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence

from ..checking.accepting import Judged
from ..checking.findings import findings
from ..checking.order import in_order, worth_saying
from ..checking.selection import Selection
from ..fingering.tables import forget_tables
from ..marking.player import player_of
from ..source.messages import Message, Severity
from ..source.text import Place
from .exit import Exit
from .report import Report
from .selection import selection_of
from .session import Session, open_readable
from .streams import say, write_text

_FAIL_ON = {"error": Severity.ERROR, "warning": Severity.WARNING}


def check(options: argparse.Namespace) -> int:
    """Run ``lyfinger check``; returns the exit status. Raises Refused.

    The findings are what the command is for, so they go to standard output; a refusal goes to standard error.
    """
    opened = open_readable(options, options.files)
    forget_tables()
    sessions = opened.sessions
    selections = [selection_of(options, session.config) for session in sessions]
    report = _report(sessions, [_judged(*pair) for pair in zip(sessions, selections, strict=True)])
    write_text(_written(options, report))
    for refusal in opened.refusals:
        say(refusal)
    if opened.refusals:
        return Exit.REFUSED
    return Exit.FOUND if report.worst >= _FAIL_ON[options.fail_on] else Exit.DONE


def _judged(session: Session, selection: Selection) -> Judged:
    found = worth_saying(session.plan, findings(session.plan, player_of(session.config).reach))
    judged = selection.judge(session.plan, found)
    excerpt, scores = session.plan.excerpt, session.plan.scores
    chosen = set(excerpt.of(found, scores))
    return judged._replace(
        left=tuple(excerpt.of(judged.left, scores)),
        accepted=tuple(one for one in judged.accepted if one.finding in chosen),
    )


def _report(sessions: Sequence[Session], parts: Sequence[Judged]) -> Report:
    """The parts as one. Files that two sessions share are remarked on once, and not where one of them has the
    accepted finding."""
    met = {
        (*_spot(Place(one.by.place.file, offset)), one.finding.rule)
        for part in parts
        for one in part.accepted
        for rule, offset in zip(one.by.rules, one.by.offsets, strict=True)
        if rule == one.finding.rule
    }
    remarks: dict[tuple[str, int, str], Message] = {}
    for remark in (remark for part in parts for remark in part.remarks):
        spot = _spot(remark.message.place)
        if remark.unmet is None or (*spot, remark.unmet) not in met:
            remarks.setdefault((*spot, remark.message.text), remark.message)
    files = (file for session in sessions for root in session.plan.roots for file in root.reading.files)
    left = (found for part in parts for found in part.left)
    return Report(
        tuple(in_order((*left, *remarks.values()), files)), tuple(one for part in parts for one in part.accepted)
    )


def _spot(place: Place) -> tuple[str, int]:
    seen = place.in_whole
    return os.path.realpath(seen.file.path) if seen.file.path else seen.file.name, seen.offset


def _written(options: argparse.Namespace, report: Report) -> str:
    if options.format == "json":
        from .check_json import as_json

        return as_json(report)
    if options.format == "sarif":
        from .sarif import as_sarif

        return as_sarif(report)
    return report.as_summary() if options.summary else report.as_text()
