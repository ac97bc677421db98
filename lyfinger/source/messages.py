"""What the tool tells its user: findings with a place, and the one-line refusal."""

from __future__ import annotations

from enum import IntEnum
from typing import NamedTuple

from .refused import Refused as Refused
from .refused import one_line as one_line
from .text import Place


class Severity(IntEnum):
    """How bad a finding is; a higher value is worse."""

    NOTE = 0
    WARNING = 1
    ERROR = 2

    def __str__(self) -> str:
        return self.name.lower()


class Message(NamedTuple):
    """One finding: ``file:line:column: severity: text (bar N) [rule-name]``.

    ``end`` is the last place of a passage, where the finding is about a passage; ``bar`` is the printed
    bar number where one is known.
    """

    severity: Severity
    place: Place
    text: str
    rule: str
    end: Place | None = None
    bar: int | None = None

    def __str__(self) -> str:
        bar = f" (bar {self.bar})" if self.bar is not None else ""
        return one_line(f"{self.place}: {self.severity}: {self.text}{bar} [{self.rule}]")
