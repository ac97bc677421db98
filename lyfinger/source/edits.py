"""Insertions into a text: sorted values, applied in one pass, and the proof that only they were added."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable
from itertools import accumulate
from typing import NamedTuple

from .messages import Refused
from .text import Place, SourceFile, encode


class Insertion(NamedTuple):
    """``text`` goes in before the character at ``offset`` (characters, not bytes)."""

    offset: int
    text: str


class Edits(NamedTuple):
    """The insertions of one file, ascending, at most one at an offset."""

    file: SourceFile
    insertions: tuple[Insertion, ...]

    @classmethod
    def of(cls, file: SourceFile, insertions: Iterable[Insertion]) -> Edits:
        """Sort and check insertions. Raises ValueError for two at one offset, an empty one, or one outside the text."""
        ordered = tuple(sorted(insertions))
        before = None
        end = len(file.text)
        for offset, text in ordered:
            if offset == before:
                raise ValueError(f"two insertions at {Place(file, offset)}")
            before = offset
            if not text or not 0 <= offset <= end:
                raise ValueError(f"no insertion can stand at offset {offset} of {file.name}")
        return cls(file, ordered)

    def apply(self) -> bytes:
        """The file's bytes with the insertions in."""
        text = self.file.text
        pieces: list[str] = []
        at = 0
        for offset, insertion in self.insertions:
            pieces += (text[at:offset], insertion)
            at = offset
        pieces.append(text[at:])
        return encode("".join(pieces))

    def mover(self) -> Callable[[int], int]:
        """A function that says where the character at an offset of the input stands in the output."""
        offsets = [item.offset for item in self.insertions]
        shifts = [0, *accumulate(len(item.text) for item in self.insertions)]
        return lambda offset: offset + shifts[bisect_right(offsets, offset)]

    def returner(self) -> Callable[[int], int]:
        """A function that says where the character at an offset of the output stands in the input.

        For one of an insertion it is the character behind that.
        """
        moved = self.mover()
        begins = [moved(item.offset) for item in self.insertions]
        shifts = [0, *accumulate(len(item.text) for item in self.insertions)]

        def back(offset: int) -> int:
            passed = bisect_right(begins, offset)
            nearest = offset - shifts[passed]
            return min(nearest, self.insertions[passed].offset) if passed < len(begins) else nearest

        return back


def refuse_unless_insertions(edits: Edits, output: bytes) -> None:
    """Raise Refused unless ``output`` without the insertions is, byte for byte, the file that was read.

    Works on bytes and leaves out what stands where an insertion should be, so it shares no step with ``apply``.
    """
    text = edits.file.text
    one_each = len(text) == len(edits.file.data)  # a byte for each character
    kept: list[bytes] = []
    at = start = position = 0
    for offset, insertion in edits.insertions:
        position += offset - start if one_each else len(encode(text[start:offset]))
        start = offset
        inserted = encode(insertion)
        if not output.startswith(inserted, position):
            raise Refused(f"internal error: {insertion} went astray; nothing is written", Place(edits.file, offset))
        kept.append(output[at:position])
        at = position = position + len(inserted)
    kept.append(output[at:])
    if b"".join(kept) != edits.file.data:
        raise Refused(f"internal error: {edits.file.name} would be changed beyond the digits; nothing is written")
