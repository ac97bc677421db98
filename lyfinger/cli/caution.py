"""One line of caution where the marked music, or its digits, asks a hand to open wide."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from ..checking.accepting import acceptances, judge
from ..checking.draft import CAUTION
from ..checking.findings import stretches
from ..marking.player import player_of
from ..source.messages import Message
from .session import Session
from .streams import say


def say_caution(sessions: Iterable[Session]) -> None:
    """Say once, on standard error, how many stretches there are and where the first one is.

    Those that the source or ``[check]`` has accepted are not counted.
    """
    found = [one for session in sessions for one in _stretches(session)]
    if found:
        few = "a stretch here is" if len(found) == 1 else f"{len(found)} stretches, the first one here, are"
        text = f"{few} near the limit of this hand: {CAUTION} (check lists them)"
        say(replace(found[0], text=text, rule="stretches"))


def _stretches(session: Session) -> list[Message]:
    found = stretches(session.plan, player_of(session.config).reach)
    comments = (one for root in session.plan.roots for one in root.reading.acceptances)
    left = judge(found, acceptances(comments), (), lambda rule: False).left
    return [one for one in left if one.rule not in session.config.ignore]
