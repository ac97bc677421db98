"""``lyfinger check``: what a harpist would send back, one finding a line."""

from __future__ import annotations

import argparse

from ..checking.findings import findings
from ..marking.player import player_of
from ..source.messages import Message, Severity
from .exit import Exit
from .session import open_sessions, worth_saying
from .streams import write_stdout

_FAIL_ON = {"error": Severity.ERROR, "warning": Severity.WARNING}


def check(options: argparse.Namespace) -> int:
    """Run ``lyfinger check``; returns the exit status. Raises Refused.

    The findings are what the command is for, so they go to standard output; a refusal goes to standard error.
    """
    found: list[Message] = []
    for session in open_sessions(options, options.files):
        found += worth_saying(session.plan, findings(session.plan, player_of(session.config).reach))
    write_stdout("".join(f"{message}\n" for message in found).encode("utf-8", "surrogateescape"))
    worst = max((message.severity for message in found), default=Severity.NOTE)
    return Exit.FOUND if worst >= _FAIL_ON[options.fail_on] else Exit.DONE
