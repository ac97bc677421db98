"""The order in which findings and messages are listed."""

from __future__ import annotations

from collections.abc import Iterable

from ..source.messages import Message
from ..source.text import SourceFile


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
