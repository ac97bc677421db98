"""From decided digits to insertions, one file at a time."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from ..source.edits import Edits, Insertion
from ..source.messages import Message, Refused, Severity
from ..source.text import Place, SourceFile
from .side import SIGN

_WOULD_MERGE = re.compile(r"\d|\s*[./*',=!?]")
"""What can't follow a digit: LilyPond would read ``^1`` and a digit as another number, ``^1.`` and ``^1/2`` as a
fraction, and the rest as what it is, part of a pitch or a duration that is not over yet."""


class Digit(NamedTuple):
    """A decided finger (1–4) for the source note at ``note``; ``insert_at`` (offset) and ``side`` say where it goes.

    ``signs`` go in before the digit and on either side of its number.
    """

    note: Place
    insert_at: int
    finger: int
    side: int
    signs: tuple[str, str, str] = ("", "", "")

    @property
    def text(self) -> str:
        before, left, right = self.signs
        return f"{before}{SIGN[self.side]}{left}{self.finger}{right}"

    @property
    def plain(self) -> str:
        """The digit by itself, without its signs."""
        return f"{SIGN[self.side]}{self.finger}"

    @property
    def is_safe(self) -> bool:
        """Whether the digit, put there, stays a number by itself."""
        return _WOULD_MERGE.match(self.note.file.text, self.insert_at) is None

    def unsafe_message(self) -> Message:
        """The warning about a digit that is left out because it would run into what follows."""
        text = "no digit: it would run into what follows"
        return Message(Severity.WARNING, self.note, text, "no-room-for-digit")


NO_TEXTS: Mapping[SourceFile, Sequence[Insertion]] = {}


def edits_of(
    digits: Iterable[Digit], texts: Mapping[SourceFile, Sequence[Insertion]] = NO_TEXTS
) -> dict[SourceFile, Edits]:
    """The insertions of every file that gets any; a text at the offset of a digit follows it.

    Raises Refused (an internal error) for two digits at one offset.
    """
    waiting = {file: {item.offset: item.text for item in found} for file, found in texts.items()}
    by_file: dict[SourceFile, list[Insertion]] = {}
    for digit in digits:
        text = waiting.get(digit.note.file, {}).pop(digit.insert_at, "")
        by_file.setdefault(digit.note.file, []).append(Insertion(digit.insert_at, digit.text + text))
    for file, rest in waiting.items():
        by_file.setdefault(file, []).extend(Insertion(offset, text) for offset, text in rest.items())
    by_file = {file: found for file, found in by_file.items() if found}
    try:
        return {file: Edits.of(file, insertions) for file, insertions in by_file.items()}
    except ValueError as error:
        raise Refused(f"internal error: {error}; nothing is written") from error
