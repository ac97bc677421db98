"""What the page's script reads: JSON that can stand in HTML."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from ..checking.draft import interval
from ..harp.reach import Reach
from ..marking.locks import MARK, VERSION
from ..source.text import Place, SourceFile
from .figures import Alternative, Figure, HandSet, Reason, string_places
from .marks import Shown

_CONTEXT = 3
"""Lines around an edit that a diff shows."""


@dataclass(frozen=True, slots=True)
class Known:
    """All that the page shows; ``lowest`` and ``highest`` are the strings, by number, that are drawn."""

    figures: Sequence[Figure]
    shown: Sequence[Shown]
    reach: Reach
    lowest: int
    highest: int


def as_data(known: Known) -> str:
    """The values as JSON in ASCII, every ``<``, ``>`` and ``&`` as an escape: nothing in it can end its element."""
    files = list(dict.fromkeys(one.source.place.in_whole.file for one in known.shown))
    rank = {file: index for index, file in enumerate(files)}
    number = {one.source: index for index, one in enumerate(known.shown) if one.digit is not None}
    whole = {
        "locks": {MARK: VERSION},
        "lowest": known.lowest,
        "strings": list(string_places(known.reach, known.lowest, known.highest).items()),
        "spreads": _spreads(known.reach),
        "intervals": [interval(count + 1) for count in range(known.highest - known.lowest + 1)],
        "sources": {reason.rule: reason.source for figure in known.figures for reason in figure.reasons},
        "files": [_file(file, known.shown) for file in files],
        "digits": [_digit(one, rank) for one in known.shown],
        "figures": [
            {
                "hand": figure.hand,
                "bar": figure.bar,
                "line": figure.line,
                "notes": [
                    [note.name, note.string, note.finger, number.get(source)]
                    for note, source in zip(figure.notes, figure.sources, strict=True)
                ],
                "sets": _sets(figure.sets),
                "reasons": [_reason(reason) for reason in figure.reasons],
                "others": None if figure.others is None else [_other(other) for other in figure.others],
                "limits": list(figure.limits),
            }
            for figure in known.figures
        ],
    }
    text = json.dumps(whole, ensure_ascii=True, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _spreads(reach: Reach) -> dict[str, tuple[int, int]]:
    """By two fingers, the lower number first: what is easy and what the hand reaches, in µm."""
    pairs = ((one, other, reach.spread(one, other)) for one, other in combinations(range(1, 5), 2))
    return {f"{one}{other}": (spread.easy, spread.greatest) for one, other, spread in pairs}


def _file(file: SourceFile, shown: Iterable[Shown]) -> dict[str, Any]:
    """A file with the lines that digits go into and those around them, by number, without their ends.

    ``open`` is the number of the last line where no line end follows it.
    """
    every = file.text.split("\n")
    last = len(every) if every[-1] else len(every) - 1
    wanted: set[int] = set()
    for one in shown:
        if one.digit is not None and one.source.place.in_whole.file is file:
            number = _insertion(one).line_column[0]
            wanted.update(range(max(number - _CONTEXT, 1), min(number + _CONTEXT, last) + 1))
    return {
        "name": file.name,
        "sha256": hashlib.sha256(file.data).hexdigest(),
        "last": last,
        "open": bool(every[-1]),
        "lines": {number: every[number - 1] for number in sorted(wanted)},
    }


def _insertion(one: Shown) -> Place:
    """Where an edit puts the digit in, in the file as it stands on disk."""
    assert one.digit is not None
    return Place(one.digit.note.file, one.digit.insert_at).in_whole


def _digit(one: Shown, rank: dict[SourceFile, int]) -> dict[str, Any]:
    place = one.source.place.in_whole
    line, column = place.line_column
    found: dict[str, Any] = {
        "file": rank[place.file],
        "line": line,
        "column": column,
        "text": one.text,
        "kind": str(one.kind),
        "figures": list(one.figures),
    }
    if one.digit is not None:
        into = _insertion(one)
        start = into.file.text.rfind("\n", 0, into.offset) + 1
        found |= {"into": into.line_column[0], "at": into.offset - start, "side": one.digit.plain[0]}
    return found


def _sets(sets: Iterable[HandSet]) -> list[tuple[int, ...]]:
    return [one.notes for one in sets]


def _reason(reason: Reason) -> tuple[str, str, int]:
    return reason.rule, reason.text, reason.cost


def _other(other: Alternative) -> dict[str, Any]:
    return {
        "line": other.line,
        "fingers": other.fingers,
        "more": other.more,
        "difference": other.difference,
        "elsewhere": other.elsewhere,
        "proven": other.proven,
        "sets": _sets(other.sets),
    }
