"""From decided digits to insertions, one file at a time."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from ..source.edits import Edits, Insertion
from ..source.messages import Message, Refused, Severity
from ..source.text import Place, SourceFile
from .side import SIGN

_WOULD_MERGE = re.compile(r"\d|\s*[./*',=!?]")
"""What can't follow a digit: LilyPond would read ``^1`` and a digit as another number, ``^1.`` and ``^1/2`` as a
fraction, and the rest as what it is, part of a pitch or a duration that is not over yet."""


class Stack(NamedTuple):
    """A place behind a chord, at ``offset``, for its digits together, ``size`` of them; ``rank`` counts from the heads
    outward, from 0."""

    offset: int
    rank: int
    size: int


class Digit(NamedTuple):
    """A decided finger (1–4) for the source note at ``note``; ``insert_at`` (offset) and ``side`` say where it goes.

    ``signs`` go in before the digit and on either side of its number. With a ``stack`` it goes behind its chord, if all
    digits of the chord go in and none has a sign.
    """

    note: Place
    insert_at: int
    finger: int
    side: int
    signs: tuple[str, str, str] = ("", "", "")
    stack: Stack | None = None

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
        return has_room(self.note.file, self.insert_at)

    def unsafe_message(self) -> Message:
        """The warning about a digit that is left out because it would run into what follows."""
        text = "no digit: it would run into what follows"
        return Message(Severity.WARNING, self.note, text, "no-room-for-digit")


def has_room(file: SourceFile, offset: int) -> bool:
    """Whether a digit that is put there stays a number by itself."""
    return _WOULD_MERGE.match(file.text, offset) is None


def gathered(digits: Iterable[Digit]) -> Iterator[tuple[int, list[Digit]]]:
    """The digits that go in at one offset, in order: those of a whole chord behind it, any other by itself."""
    stacks: dict[tuple[SourceFile, int], list[Digit]] = {}
    for digit in digits:
        if digit.stack is None or any(digit.signs):
            yield digit.insert_at, [digit]
        else:
            stacks.setdefault((digit.note.file, digit.stack.offset), []).append(digit)
    for (_, offset), found in stacks.items():
        ranked = sorted((digit.stack.rank, digit) for digit in found if digit.stack is not None)
        if found[0].stack is not None and len(found) == found[0].stack.size:
            yield offset, [digit for _, digit in ranked]
        else:
            yield from ((digit.insert_at, [digit]) for digit in found)


NO_TEXTS: Mapping[SourceFile, Sequence[Insertion]] = {}


def edits_of(
    digits: Iterable[Digit], texts: Mapping[SourceFile, Sequence[Insertion]] = NO_TEXTS
) -> dict[SourceFile, Edits]:
    """The insertions of every file that gets any; a text at the offset of digits follows them.

    Raises Refused (an internal error) for two digits at one offset.
    """
    waiting = {file: {item.offset: item.text for item in found} for file, found in texts.items()}
    by_file: dict[SourceFile, list[Insertion]] = {}
    for offset, found in gathered(digits):
        file = found[0].note.file
        text = found[0].text if len(found) == 1 else "".join(digit.text for digit in found)
        if waiting:
            text += waiting.get(file, {}).pop(offset, "")
        by_file.setdefault(file, []).append(Insertion(offset, text))
    for file, rest in waiting.items():
        by_file.setdefault(file, []).extend(Insertion(offset, text) for offset, text in rest.items())
    by_file = {file: insertions for file, insertions in by_file.items() if insertions}
    try:
        return {file: Edits.of(file, insertions) for file, insertions in by_file.items()}
    except ValueError as error:
        raise Refused(f"internal error: {error}; nothing is written") from error
