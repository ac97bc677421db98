"""What the page's script reads: JSON that can stand in HTML."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from ..marking.locks import MARK, VERSION
from ..source.text import Place, SourceFile
from .figures import Alternative, Figure, HandSet, Pair, Reason
from .marks import Shown


@dataclass(frozen=True, slots=True)
class Known:
    """All that the page shows; ``strings`` are those of the harp, by name, in µm from the lowest."""

    figures: Sequence[Figure]
    shown: Sequence[Shown]
    strings: dict[str, int]
    lowest: int


def as_data(known: Known) -> str:
    """The values as JSON in ASCII, every ``<``, ``>`` and ``&`` as an escape: nothing in it can end its element."""
    files = list(dict.fromkeys(one.source.place.file for one in known.shown))
    rank = {file: index for index, file in enumerate(files)}
    number = {one.source: index for index, one in enumerate(known.shown) if one.digit is not None}
    whole = {
        "locks": {MARK: VERSION},
        "lowest": known.lowest,
        "strings": list(known.strings.items()),
        "files": [_file(file, known.shown) for file in files],
        "digits": [_digit(one, rank) for one in known.shown],
        "figures": [
            {
                "hand": figure.hand,
                "bar": figure.bar,
                "line": figure.line,
                "notes": [
                    {"name": note.name, "string": note.string, "finger": note.finger, "digit": number.get(source)}
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


def _file(file: SourceFile, shown: Iterable[Shown]) -> dict[str, Any]:
    """A file with the lines that digits go into, by number, without their ends."""
    lines: dict[int, str] = {}
    for one in shown:
        if one.digit is not None and one.source.place.file is file:
            number, start, end = _line(Place(file, one.digit.insert_at))
            lines[number] = file.text[start:end]
    return {"name": file.name, "sha256": hashlib.sha256(file.data).hexdigest(), "lines": lines}


def _line(place: Place) -> tuple[int, int, int]:
    """The number of a place's line, and the offsets where it begins and ends."""
    text = place.file.text
    start = text.rfind("\n", 0, place.offset) + 1
    end = text.find("\n", place.offset)
    return place.line_column[0], start, len(text) if end < 0 else end


def _digit(one: Shown, rank: dict[SourceFile, int]) -> dict[str, Any]:
    line, column = one.source.place.line_column
    found: dict[str, Any] = {
        "file": rank[one.source.place.file],
        "line": line,
        "column": column,
        "text": one.text,
        "kind": str(one.kind),
        "figures": list(one.figures),
    }
    if one.digit is not None:
        number, start, _ = _line(Place(one.digit.note.file, one.digit.insert_at))
        found |= {"into": number, "at": one.digit.insert_at - start, "side": one.digit.text[0]}
    return found


def _sets(sets: Iterable[HandSet]) -> list[dict[str, Any]]:
    return [{"notes": one.notes, "pairs": _pairs(one.pairs)} for one in sets]


def _pairs(pairs: Iterable[Pair]) -> list[dict[str, Any]]:
    return [
        {
            "fingers": pair.fingers,
            "strings": pair.strings,
            "words": pair.words,
            "percent": pair.percent,
            "apart": pair.apart,
            "easy": pair.easy,
            "greatest": pair.greatest,
        }
        for pair in pairs
    ]


def _reason(reason: Reason) -> dict[str, Any]:
    return {"rule": reason.rule, "text": reason.text, "cost": reason.cost, "source": reason.source}


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
