"""One source file: its bytes, its text, and the way from an offset to the place that an editor shows.

The text is decoded with ``surrogateescape``, so that every byte, valid UTF-8 or not, comes back unchanged
on encoding; line ends and a byte order mark are part of the text.
"""

from __future__ import annotations

from bisect import bisect_right
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

TAB_WIDTH = 8
_WORKED_OUT = frozenset({"text", "_line_starts"})
"""What a file knows only because it was asked, and another process need not be told."""


class SourceFile:
    """A file as it was read. ``name`` is how messages call it; ``path`` is None for standard input.

    Identity is object identity: one run reads each file once.
    """

    def __init__(self, name: str, data: bytes, path: Path | None = None) -> None:
        self.name = name
        self.data = data
        self.path = path

    def __getstate__(self) -> dict[str, object]:
        return {key: value for key, value in self.__dict__.items() if key not in _WORKED_OUT}

    @cached_property
    def text(self) -> str:
        """The decoded text; ``encode(text)`` is ``data`` again, whatever the bytes were."""
        return decode(self.data)

    @cached_property
    def _line_starts(self) -> list[int]:
        starts = [0]
        at = self.text.find("\n")
        while at >= 0:
            starts.append(at + 1)
            at = self.text.find("\n", at + 1)
        return starts

    def line_column(self, offset: int) -> tuple[int, int]:
        """Line and column (both 1-based) of a character offset.

        A tab counts to the next multiple of eight, as in the typesetter's own messages; a byte order
        mark takes no column.
        """
        line = bisect_right(self._line_starts, offset) - 1
        column = 0
        for char in self.text[self._line_starts[line] : offset]:
            if char == "\t":
                column += TAB_WIDTH - column % TAB_WIDTH
            elif char != "\ufeff":
                column += 1
        return line + 1, column + 1

    def place_in_whole(self, offset: int) -> Place:
        """The place of a character in the file as it stands on disk."""
        return Place(self, offset)

    def offset_of(self, line: int, column: int) -> int | None:
        """The character offset of a 1-based line and (tab-expanded) column; None outside the text."""
        if not 1 <= line <= len(self._line_starts):
            return None
        start = self._line_starts[line - 1]
        stop = self._line_starts[line] if line < len(self._line_starts) else len(self.text)
        for offset in range(start, stop + 1):
            if self.line_column(offset) == (line, column):
                return offset
        return None


class Stretch(SourceFile):
    """A stretch of another file that is read by itself; lines and columns are those of ``whole``.

    ``start`` is the stretch's first offset there and ``length`` its length; ``lead`` is the number of characters that
    stand before it in ``data``, to have it read as it is meant.
    """

    def __init__(
        self, name: str, data: bytes, path: Path | None = None, *, whole: SourceFile, start: int, length: int, lead: int
    ) -> None:
        self.name = name
        self.data = data
        self.path = path
        self.whole = whole
        self.start = start
        self.length = length
        self.lead = lead

    def offset_in_whole(self, offset: int) -> int:
        """Where a character of the stretch stands in the whole file; of what stands around it, the nearest of its."""
        return self.start + min(max(offset - self.lead, 0), self.length)

    def place_in_whole(self, offset: int) -> Place:
        """The place of a character in the whole file."""
        return Place(self.whole, self.offset_in_whole(offset))

    def line_column(self, offset: int) -> tuple[int, int]:
        """Line and column (both 1-based) of a character offset, in the whole file."""
        return self.whole.line_column(self.offset_in_whole(offset))

    def offset_of(self, line: int, column: int) -> int | None:
        """The character offset of a line and column of the whole file; None outside the stretch."""
        found = self.whole.offset_of(line, column)
        if found is None or not 0 <= found - self.start < self.length:
            return None
        return found - self.start + self.lead


class Place(NamedTuple):
    """A character offset in a source file."""

    file: SourceFile
    offset: int

    @property
    def in_whole(self) -> Place:
        """The same place in the file as it stands on disk, where this one is in a stretch of it."""
        return self.file.place_in_whole(self.offset)

    @property
    def line_column(self) -> tuple[int, int]:
        return self.file.line_column(self.offset)

    def __str__(self) -> str:
        line, column = self.line_column
        return f"{self.file.name}:{line}:{column}"


def decode(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape")


def encode(text: str) -> bytes:
    return text.encode("utf-8", "surrogateescape")
