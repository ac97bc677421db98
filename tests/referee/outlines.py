"""The ink of a page as the typesetter lays it out: digits, and all that they could lie over. Lengths in staff spaces.

An outline is the lower and the upper edge of what is printed, so that a slur is its curve and a beam its slope, and not
their boxes.
"""

from __future__ import annotations

import json
import tempfile
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from pathlib import Path

from .engraver import RefereeError, reported

HERE = Path(__file__).resolve().parent
STEPS = 12
"""Places along the common width of two outlines at which their heights are compared."""

ROUNDING = 0.05
"""Staff spaces by which outlines may touch: the rounding of their points, not to be seen on a page."""

Edge = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Outline:
    """What is printed of one grob. ``lower`` and ``upper`` are points (x, y), left to right, in the frame of the
    system (number ``system``, through the book); ``column`` numbers a digit's note column, -1 for anything else;
    ``line`` (1-based) and ``char`` tell the event that it was printed for, 0 if there is none."""

    name: str
    system: int
    column: int
    line: int
    char: int
    bar: int
    lower: Edge
    upper: Edge
    text: str

    @property
    def left(self) -> float:
        return self.lower[0][0]

    @property
    def right(self) -> float:
        return self.lower[-1][0]

    @property
    def bottom(self) -> float:
        return min(y for _, y in self.lower)

    @property
    def top(self) -> float:
        return max(y for _, y in self.upper)

    def depth(self, other: Outline) -> float:
        """How far two inks lie over each other, the lesser of both directions; at most 0 where they don't."""
        left, right = max(self.left, other.left), min(self.right, other.right)
        boxes = min(right - left, min(self.top, other.top) - max(self.bottom, other.bottom))
        if boxes <= 0:
            return boxes
        places = [left + (right - left) * step / STEPS for step in range(STEPS + 1)]
        along = max(
            min(_height(self.upper, x), _height(other.upper, x)) - max(_height(self.lower, x), _height(other.lower, x))
            for x in places
        )
        return min(right - left, along)


def _height(edge: Edge, x: float) -> float:
    """An edge's height at a place within it."""
    at = min(max(bisect_right(edge, (x, float("inf"))), 1), len(edge) - 1)
    (left, before), (right, after) = edge[at - 1], edge[at]
    return after if right <= left else before + (after - before) * (min(max(x, left), right) - left) / (right - left)


def outlines(path: Path, include_dirs: Sequence[Path] = (), timeout: float = 300) -> list[Outline]:
    """The outline of everything that is printed on the pages of a file. Raises RefereeError if it can't be engraved."""
    with tempfile.TemporaryDirectory() as folder:
        settings = HERE / "outlines.ily"
        log, lines = reported(path, settings, "LYFINGER_OUTLINES", include_dirs, folder=Path(folder), timeout=timeout)
    if log.returncode:
        raise RefereeError(log.stderr)
    return [outline for line in lines for outline in _outline(*json.loads(line))]


def _outline(
    name: str, system: int, column: int, line: int, char: int, bar: int, x: float, y: float,
    lower: Sequence[tuple[float, float]], upper: Sequence[tuple[float, float]], text: str,
) -> Iterator[Outline]:  # fmt: skip
    if len(lower) > 1 and len(upper) > 1:
        below, above = (tuple((x + dx, y + dy) for dx, dy in edge) for edge in (lower, upper))
        yield Outline(name, system, column, line, char, bar, below, above, text)


def collisions(found: Sequence[Outline], *names: str, least: float) -> Iterator[tuple[Outline, Outline, float]]:
    """Pairs that lie over each other by more than ``least``: one of ``names`` first, and anything in its system."""
    by_system: dict[int, list[Outline]] = {}
    for outline in found:
        by_system.setdefault(outline.system, []).append(outline)
    for row in by_system.values():
        marks = [outline for outline in row if outline.name in names]
        others = [outline for outline in row if outline.name not in names]
        for one, other in (*combinations(marks, 2), *((one, other) for one in marks for other in others)):
            depth = one.depth(other)
            if depth > least:
                yield one, other, depth


def columns(found: Sequence[Outline]) -> list[list[Outline]]:
    """The digits of each note column, in the order of the source."""
    stacks: dict[tuple[int, int], list[Outline]] = {}
    for outline in found:
        if outline.name == "Fingering" and outline.column >= 0:
            stacks.setdefault((outline.system, outline.column), []).append(outline)
    return [sorted(stack, key=lambda digit: (digit.line, digit.char)) for stack in stacks.values()]


def is_column(digits: Sequence[Outline]) -> bool:
    """Whether digits stand one over the other, in the order of the source from below or from above."""
    rising = list(digits) if digits[0].bottom < digits[-1].bottom else list(reversed(digits))
    return all(upper.bottom >= lower.top - ROUNDING for lower, upper in pairwise(rising))
