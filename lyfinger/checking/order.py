"""The order in which findings and messages are listed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ..source.messages import Message, Severity
from ..source.text import SourceFile

if TYPE_CHECKING:
    from ..marking.plan import Plan


def worth_saying(plan: Plan, messages: Iterable[Message]) -> list[Message]:
    """The warnings and errors among messages in order; where nothing at all has a hand, the notes too."""
    least = Severity.WARNING if any(root.has_hands for root in plan.roots) else Severity.NOTE
    return in_order_of(plan, (message for message in messages if message.severity >= least))


def in_order_of(plan: Plan, messages: Iterable[Message]) -> list[Message]:
    """Messages in the order of the files of a plan."""
    return in_order(messages, (file for root in plan.roots for file in root.reading.files))


def in_order(messages: Iterable[Message], files: Iterable[SourceFile]) -> list[Message]:
    """Messages by file, place, and severity (worst first); one of each rule at a place."""
    rank: dict[SourceFile, int] = {}
    for file in files:
        rank.setdefault(file, len(rank))
    once: dict[tuple[SourceFile, int, str], Message] = {}
    for one in messages:
        once.setdefault((one.place.file, one.place.offset, one.rule), one)
    return sorted(
        once.values(),
        key=lambda one: (rank.get(one.place.file, len(rank)), one.place.offset, -one.severity, one.rule),
    )
