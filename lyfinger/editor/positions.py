"""Between the offsets of a text and an editor's positions: a line, and a character in it, both counted from 0.

The Language Server Protocol (3.17, "Position") ends a line at LF, CR LF or CR, and counts characters in units of the
encoding that both sides agreed on, UTF-16 by default.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from enum import Enum

_LINE_END = re.compile(r"\r\n|\r|\n")


class Unit(Enum):
    """What an editor counts in a line."""

    UTF8 = "utf-8"
    UTF16 = "utf-16"
    UTF32 = "utf-32"

    def length(self, text: str) -> int:
        """How many units a text takes.

        >>> Unit.UTF8.length("♭𝄪"), Unit.UTF16.length("♭𝄪"), Unit.UTF32.length("♭𝄪")
        (7, 3, 2)
        """
        if text.isascii() or self is Unit.UTF32:
            return len(text)
        if self is Unit.UTF16:
            return len(text) + sum(character > "\uffff" for character in text)
        return len(text.encode("utf-8", "surrogatepass"))


class Positions:
    """The lines of one text."""

    def __init__(self, text: str, unit: Unit) -> None:
        self._text = text
        self._unit = unit
        self._starts = [0, *(found.end() for found in _LINE_END.finditer(text))]

    def of(self, offset: int) -> tuple[int, int]:
        """The line and the character of an offset.

        >>> Positions("c4\\r\\n  𝄪d", Unit.UTF16).of(7)
        (1, 4)
        """
        line = bisect_right(self._starts, offset) - 1
        return line, self._unit.length(self._text[self._starts[line] : offset])

    def offset(self, line: int, character: int) -> int:
        """The offset of a position; past the end of a line or of the text, the end of that.

        >>> Positions("c4\\r\\n  𝄪d", Unit.UTF16).offset(1, 4), Positions("c4\\n", Unit.UTF8).offset(0, 9)
        (7, 2)
        """
        if line >= len(self._starts):
            return len(self._text)
        start = self._starts[line]
        found = _LINE_END.search(self._text, start)
        stop = found.start() if found else len(self._text)
        units = 0
        for offset in range(start, stop):
            if units >= character:
                return offset
            units += self._unit.length(self._text[offset])
        return stop
