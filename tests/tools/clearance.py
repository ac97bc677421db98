"""Counts, for every sample in every style, what digits lie over as engraved, and which chords' are no column.

    python -m tests.tools.clearance [--all] [NAME…]

``--all`` takes every combination of the settings instead of one at a time; NAMEs are samples, as `Parts/ferry-harp.ly`.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from itertools import product
from pathlib import Path
from typing import NamedTuple

from tests.referee.outlines import ROUNDING, collisions, columns, is_column, outlines
from tests.whole.command import ENSEMBLE, SAMPLES, TEACHING, lyfinger


def styles(every: bool) -> list[tuple[str, ...]]:
    """The options of each style."""
    density = [(), ("--density", "placings"), ("--density", "needed")]
    chords = [(), ("--chords", "behind"), ("--chords", "left")]
    outside = [(), ("--outside",)]
    brackets = [(), ("--brackets",)]
    if every:
        return [(*a, *b, *c, *d) for a, b, c, d in product(density, chords, outside, brackets)]
    both = ("--chords", "behind", "--outside")
    return [*density, *chords[1:], *outside[1:], *brackets[1:], both, (*both, "--brackets"), (*chords[2], "--outside")]


class Counted(NamedTuple):
    """The digits of a page, what they lie over (a grob's name, how often), and the chords whose digits are no column:
    one over the other, in the order of the strings."""

    digits: int
    over: Counter[str]
    no_column: int

    def __str__(self) -> str:
        listed = ", ".join(f"{count} {grob}" for grob, count in sorted(self.over.items())) or "nothing"
        return f"{self.digits:4} digits; over {listed}; no column: {self.no_column}"


def counted(name: str, options: Sequence[str]) -> Counted:
    """What is counted on the pages of a sample in a style."""
    with tempfile.TemporaryDirectory() as folder:
        result = lyfinger("mark", name, *options, "--root", ".", "--output-dir", folder, folder=SAMPLES)
        assert result.status == 0, result.err
        found = outlines(Path(folder, name))
    over = Counter(other.name for _, other, _ in collisions(found, "Fingering", least=ROUNDING))
    digits = sum(outline.name == "Fingering" for outline in found)
    return Counted(digits, over, sum(not is_column(stack) for stack in columns(found)))


def main(arguments: Sequence[str]) -> None:
    """Print the table."""
    names = [name for name in arguments if not name.startswith("-")] or [*ENSEMBLE, *TEACHING]
    for options in styles("--all" in arguments):
        print(" ".join(options) or "no option", flush=True)
        for name in names:
            print(f"  {name:28} {counted(name, options)}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
