"""Many pieces in one run of the typesetter: which of them lyfinger reads otherwise."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from lyfinger.reading.reader import read
from lyfinger.source.library import Library
from lyfinger.source.messages import Refused
from tests.corpus.judge import differences, rows
from tests.referee.agreement import compare
from tests.referee.engraver import RefereeError
from tests.referee.events import rule

from .music import Node

HEAD = '\\version "2.24.0"\n'


@dataclass
class Batch:
    """How pieces came out. ``told`` has the differences of each piece that has any, by its number; ``unruled`` are
    those of which the typesetter itself complains, or on which it crashed."""

    pieces: int
    notes: int = 0
    warned: int = 0
    told: dict[int, list[str]] = field(default_factory=dict)
    unruled: set[int] = field(default_factory=set)

    def add(self, part: Batch, numbers: Sequence[int]) -> None:
        self.notes += part.notes
        self.warned += part.warned
        self.told.update((numbers[number], told) for number, told in part.told.items())
        self.unruled.update(numbers[number] for number in part.unruled)


def judge_batch(pieces: Sequence[str]) -> Batch:
    """Read pieces, each of one line, and have them printed. Where a run fails, the two halves are tried."""
    try:
        return _together(pieces)
    except (RefereeError, Refused) as problem:
        if len(pieces) == 1:
            refused = isinstance(problem, Refused)
            return Batch(1, told={0: [str(problem)]} if refused else {}, unruled=set() if refused else {0})
    batch = Batch(len(pieces))
    half = len(pieces) // 2
    for numbers in (range(half), range(half, len(pieces))):
        batch.add(judge_batch([pieces[number] for number in numbers]), numbers)
    return batch


def _together(pieces: Sequence[str]) -> Batch:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder).resolve() / "pieces.ly"
        path.write_text(HEAD + "".join(piece + "\n" for piece in pieces), encoding="utf-8")
        ruling = rule(path, timeout=30 + len(pieces))
        library = Library(directory=path.parent)
        reading = read(library.root(str(path)), library)
        told, warned = differences(compare(rows(reading), ruling.scores, path.parent), reading)
    batch = Batch(len(pieces), notes=ruling.notes, warned=len(warned))
    for error in ruling.errors:
        at = re.search(r"pieces\.ly:(\d+):\d+: error", error)
        if at is None:
            raise RefereeError(error)
        batch.unruled.add(int(at[1]) - 2)
    for what, row in told:
        if row.line - 2 not in batch.unruled:
            batch.told.setdefault(row.line - 2, []).append(f"{str(row).partition('pieces.ly:')[2]}: {what}")
    return batch


def shrunk(piece: Node, at_once: int = 60) -> Node:
    """A piece as short as may be that is still read otherwise, found by taking away one thing after another."""
    while True:
        for some in _portions(sorted(set(piece.smaller()), key=lambda one: (one.size, str(one))), at_once):
            told = judge_batch([str(one) for one in some]).told
            if told:
                piece = some[min(told)]
                break
        else:
            return piece


def _portions(pieces: Iterable[Node], many: int) -> Iterable[list[Node]]:
    waiting = list(pieces)
    return (waiting[index : index + many] for index in range(0, len(waiting), many))
