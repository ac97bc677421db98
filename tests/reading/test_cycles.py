"""Nothing that grows with the music hangs in a reference cycle: cycles are searched for seldom."""

from __future__ import annotations

import gc
from pathlib import Path

from lyfinger.reading.reader import read
from lyfinger.source.library import Library


def _in_cycles(notes: int, folder: Path) -> int:
    """How many objects the collector finds after reading so many notes and the reading itself is kept."""
    path = folder / f"{notes}.ly"
    path.write_text("\\score { \\new Staff { " + "c'4 <e' g'>4-1 \\tuplet 3/2 { c'8 d' e' } " * notes + "} }\n")
    library = Library(())
    root = library.root(path)
    gc.collect()
    gc.disable()
    try:
        reading = read(root, library)
        found = gc.collect()
    finally:
        gc.enable()
    assert sum(len(score.notes) for score in reading.scores) == 6 * notes
    return found


def test_what_a_reading_leaves_in_cycles_does_not_grow(tmp_path: Path) -> None:
    _in_cycles(1, tmp_path)
    assert _in_cycles(200, tmp_path) <= _in_cycles(2, tmp_path)
