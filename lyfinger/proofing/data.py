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
            for number in {place.line_column[0] for place in _insertions(one)}:
                wanted.update(range(max(number - _CONTEXT, 1), min(number + _CONTEXT, last) + 1))
    return {
        "name": file.name,
        "sha256": hashlib.sha256(file.data).hexdigest(),
        "last": last,
        "open": bool(every[-1]),
        "lines": {number: every[number - 1] for number in sorted(wanted)},
    }


def _insertions(one: Shown) -> list[Place]:
    """Where an edit puts the digit in, in the file as it stands on disk: at its note, and behind its chord if all of
    that go there."""
    assert one.digit is not None
    offsets = [one.digit.insert_at]
    if one.digit.stack is not None and not any(one.digit.signs):
        offsets.append(one.digit.stack.offset)
    return [Place(one.digit.note.file, offset).in_whole for offset in offsets]


def _in_line(place: Place) -> tuple[int, int]:
    """A place as its line, from 1, and the character in it, from 0."""
    return place.line_column[0], place.offset - place.file.text.rfind("\n", 0, place.offset) - 1


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
        (into, at), *behind = map(_in_line, _insertions(one))
        found |= {"into": into, "at": at, "side": one.digit.plain[0]}
        if behind and one.digit.stack is not None:
            found["stack"] = (*behind[0], one.digit.stack.rank, one.digit.stack.size)
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
