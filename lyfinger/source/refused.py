"""The one-line refusal. It stands by itself, so that a command line is understood without loading anything else."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from .text import Place


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
    if text.isprintable():
        return text
    return re.sub(r"[\x00-\x1f\x7f\x85\u2028\u2029]", lambda match: repr(match[0])[1:-1], text)
