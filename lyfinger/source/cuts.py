"""Deletions from a text: sorted values, applied in one pass, and the proof that only they are gone."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import accumulate, pairwise

from .messages import Refused
from .text import Place, SourceFile, encode


@dataclass(frozen=True, slots=True, order=True)
class Deletion:
    """The characters from ``start`` up to ``end`` (character offsets) go."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Cuts:
    """The deletions of one file, ascending, apart from one another."""

    file: SourceFile
    deletions: tuple[Deletion, ...]

    @classmethod
    def of(cls, file: SourceFile, deletions: Iterable[Deletion]) -> Cuts:
        """Sort and check deletions. Raises ValueError for two that overlap, an empty one, or one outside the text."""
        ordered = tuple(sorted(set(deletions)))
        for before, after in pairwise(ordered):
            if after.start < before.end:
                raise ValueError(f"two deletions at {Place(file, after.start)}")
        for item in ordered:
            if not 0 <= item.start < item.end <= len(file.text):
                raise ValueError(f"nothing can go from offset {item.start} to {item.end} of {file.name}")
        return cls(file, ordered)

    def apply(self) -> bytes:
        """The file's bytes without what goes."""
        text, at, pieces = self.file.text, 0, []
        for item in self.deletions:
            pieces.append(text[at : item.start])
            at = item.end
        return encode("".join([*pieces, text[at:]]))

    def mover(self) -> Callable[[int], int]:
        """A function that says where the character at an offset of the input, if it stays, stands in the output."""
        ends = [item.end for item in self.deletions]
        lost = [0, *accumulate(item.end - item.start for item in self.deletions)]
        return lambda offset: offset - lost[bisect_right(ends, offset)]


def refuse_unless_deletions(cuts: Cuts, output: bytes) -> None:
    """Raise Refused unless ``output`` with the deleted bytes put back is, byte for byte, the file that was read."""
    text = cuts.file.text
    restored: list[bytes] = []
    position = at = 0
    for item in cuts.deletions:
        kept = len(encode(text[at : item.start]))
        restored += (output[position : position + kept], encode(text[item.start : item.end]))
        position, at = position + kept, item.end
    restored.append(output[position:])
    if b"".join(restored) != cuts.file.data:
        raise Refused(f"internal error: {cuts.file.name} would be changed beyond the digits; nothing is written")
