"""What the tool tells its user: findings with a place, and the one-line refusal."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum

from .text import Place


class Severity(IntEnum):
    """How bad a finding is; a higher value is worse."""

    NOTE = 0
    WARNING = 1
    ERROR = 2

    def __str__(self) -> str:
        return self.name.lower()


@dataclass(frozen=True, slots=True)
class Message:
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


class Refused(Exception):
    """The work cannot be done; ``str()`` is the one line for standard error, place first where there is one."""

    def __init__(self, text: str, place: Place | None = None) -> None:
        super().__init__(one_line(f"{place}: error: {text}" if place else f"lyfinger: {text}"))
        self.text = one_line(text)
        self.place = place

    def __reduce__(self) -> tuple[Callable[[str], Refused], tuple[str]]:
        return _refused, (str(self),)  # the line as it is: another process has the place no more


def _refused(line: str) -> Refused:
    refused = Refused("")
    refused.args = (line,)
    return refused


def one_line(text: str) -> str:
    """The text with control characters (a line end in a file name, say) written as escapes."""
    return re.sub(r"[\x00-\x1f\x7f\x85\u2028\u2029]", lambda match: repr(match[0])[1:-1], text)
