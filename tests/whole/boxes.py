"""Where the typesetter puts digits and heads, as it lays out the pages; lengths in staff spaces."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from pathlib import Path

from tests.referee.engraver import run

from .command import PROJECT

SETTINGS = PROJECT / "tests" / "fixtures" / "whole" / "boxes.ily"


@dataclass(frozen=True, slots=True)
class Box:
    """A grob: the line (1-based) and character of its event, the bar and the place in it, its edges in the frame of
    its system, and for a head the direction of its stem (1 up, -1 down, 0 none)."""

    name: str
    system: int
    line: int
    char: int
    when: tuple[int, Fraction]
    left: float
    right: float
    bottom: float
    top: float
    stem: int

    def overlap(self, other: Box) -> float:
        """How deep two boxes lie over each other, the lesser of both directions; at most 0 if they don't."""
        across = min(self.right, other.right) - max(self.left, other.left)
        along = min(self.top, other.top) - max(self.bottom, other.bottom)
        return min(across, along)


def boxes(path: Path, folder: Path) -> list[Box]:
    """Every digit, head, stem, accidental and dot of a file, in the order of its systems."""
    out = folder / "boxes.jsonl"
    log = run(
        [
            "--loglevel=WARN",
            "-dbackend=cairo",
            "--png",
            "-dresolution=30",
            f"-dinclude-settings={SETTINGS}",
            "-o",
            folder / "page",
            path,
        ],
        folder=folder,
        environment={"LYFINGER_BOXES": str(out)},
    )
    assert log.returncode == 0, log.stderr
    rows = (json.loads(line) for line in out.read_text("utf-8").splitlines())
    return [
        Box(name, system, line, char, (bar, Fraction(at)), float(left), float(right), float(bottom), float(top), stem)
        for name, _, system, line, char, bar, at, left, right, bottom, top, stem in rows
    ]


def collisions(found: Sequence[Box], *names: str, least: float) -> Iterator[tuple[Box, Box, float]]:
    """Pairs of a digit and another digit, or a grob of ``names``, that overlap by more than ``least``."""
    for one, other in combinations(found, 2):
        pair = {one.name, other.name}
        if one.system == other.system and "Fingering" in pair and pair <= {"Fingering", *names}:
            depth = one.overlap(other)
            if depth > least:
                yield one, other, depth
