"""One line of caution where the marked music, or its digits, asks a hand to open wide."""

from __future__ import annotations

from collections.abc import Sequence

from ..checking.draft import CAUTION
from ..checking.stretches import stretches
from ..marking.player import player_of
from ..source.messages import Message
from .session import Session
from .streams import say


def say_caution(found: Sequence[Message]) -> None:
    """Say once, on standard error, how many stretches there are and where the first one is."""
    if found:
        few = "a stretch here is" if len(found) == 1 else f"{len(found)} stretches, the first one here, are"
        text = f"{few} near the limit of this hand: {CAUTION} (check lists them)"
        say(found[0]._replace(text=text, rule="stretches"))


def stretches_of(session: Session) -> list[Message]:
    """The stretches of a session, in order.

    Those that the source accepts, or ``[check]`` ignores, and those outside what is chosen are not among them. Raises
    Refused for a name there that no rule has.
    """
    plan = session.plan
    found = stretches(plan, player_of(session.config).reach)
    if session.config.ignore or any(root.reading.acceptances for root in plan.roots):
        from ..checking.selection import configured, selection

        ignored = configured(session.config.ignore, "ignore", session.config.places)
        found = list(selection(None, ignored).judge(plan, found).left)
    return list(plan.excerpt.of(found, plan.scores))
