"""``lyfinger clear``: digits, and the signs of a marking, out of the source; what they stood on is fingered anew."""

from __future__ import annotations

import argparse
from dataclasses import replace

from ..marking.clearing import Clearing, cleared, clearing
from ..marking.plan import without_digits
from ..marking.taking import own_signs
from .mark import in_files, refuse_misuse, written
from .session import Session, open_sessions, say_messages


def clear(options: argparse.Namespace) -> int:
    """Run ``lyfinger clear``; returns the exit status. Raises Refused."""
    refuse_misuse(options)
    sessions = open_sessions(options, options.files, planner=without_digits)
    found = [(session, _found(session)) for session in sessions]
    results = [
        (session.sources, in_files(session.sources, cleared(session.plan, item, session.library, session.config.hands)))
        for session, item in found
    ]
    say_messages(_with_messages(session, item) for session, item in found)
    return written(options, results)


def _found(session: Session) -> Clearing:
    digits = clearing(session.plan)
    signs = own_signs(session.plan, digits.sources, session.config.hands)
    return replace(digits, messages=(*digits.messages, *signs.messages), signs=signs.deletions)


def _with_messages(session: Session, found: Clearing) -> Session:
    return session._replace(plan=session.plan._replace(messages=(*session.plan.messages, *found.messages)))
