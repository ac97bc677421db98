"""One line of caution where the marked music, or its digits, asks a hand to open wide."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from ..checking.draft import CAUTION
from ..checking.findings import stretches
from ..checking.selection import configured, selection
from ..marking.player import player_of
from ..source.messages import Message
from .session import Session
from .streams import say


def say_caution(sessions: Iterable[Session]) -> None:
    """Say once, on standard error, how many stretches there are and where the first one is.

    Those that the source accepts, or ``[check]`` ignores, and those outside what is chosen are not counted. Raises
    Refused for a name there that no rule has.
    """
    found = [one for session in sessions for one in _stretches(session)]
    if found:
        few = "a stretch here is" if len(found) == 1 else f"{len(found)} stretches, the first one here, are"
        text = f"{few} near the limit of this hand: {CAUTION} (check lists them)"
        say(replace(found[0], text=text, rule="stretches"))


def _stretches(session: Session) -> list[Message]:
    found = stretches(session.plan, player_of(session.config).reach)
    ignored = configured(session.config.ignore, "ignore", session.config.places)
    left = selection(None, ignored).judge(session.plan, found).left
    return list(session.plan.excerpt.of(left, session.plan.scores))
