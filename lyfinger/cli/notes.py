"""``lyfinger notes``: every printed note as it was read, as a table or as JSON."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..marking.excerpt import Excerpt
from ..marking.plan import Fingered, RootPlan
from ..score.model import Note, Score
from ..score.pitch import LETTERS
from .exit import Exit
from .session import open_sessions, say_messages
from .streams import write_stdout

_COLUMNS = ("place", "bar", "beat", "staff", "voice", "pitch", "length", "hand", "finger", "", "placing")


def notes(options: argparse.Namespace) -> int:
    """Run ``lyfinger notes``; returns the exit status. Raises Refused."""
    sessions = open_sessions(options, [options.file])
    say_messages(sessions)
    rows = [row for session in sessions for root in session.plan.roots for row in _rows(root, session.plan.excerpt)]
    text = _as_json(rows) if options.format == "json" else _as_table(rows)
    write_stdout(text.encode("utf-8", "surrogateescape"))
    return Exit.DONE


@dataclass(frozen=True, slots=True)
class _Row:
    score: Score
    note: Note
    fingered: Fingered

    @property
    def bar(self) -> int | None:
        return self.score.bar_number(self.note)

    @property
    def beat(self) -> Fraction | None:
        return self.score.beat_of(self.note) if self.score.bars else None


def _rows(root: RootPlan, excerpt: Excerpt) -> Iterator[_Row]:
    for score, fingered in zip(root.scores, root.fingered, strict=True):
        takes = excerpt.within(score)
        for note, item in zip(score.notes, fingered, strict=True):
            if takes(note):
                yield _Row(score, note, item)


def _as_json(rows: list[_Row]) -> str:
    """``{"notes": [...]}``, a note on each line, fractions as strings such as ``"3/8"``."""
    lines = ",\n".join(json.dumps(_fields(row), ensure_ascii=False) for row in rows)
    return f'{{"notes": [\n{lines}\n]}}\n' if rows else '{"notes": []}\n'


def _fields(row: _Row) -> dict[str, object]:
    note, place = row.note, row.note.source.place
    line, column = place.line_column
    return {
        "file": place.file.name,
        "line": line,
        "column": column,
        "score": row.score.index + 1,
        "bar": row.bar,
        "beat": None if row.beat is None else str(row.beat),
        "moment": str(note.moment),
        "grace": str(note.grace),
        "duration": str(note.duration),
        "staff": row.score.staves[note.staff].label,
        "voice": row.score.voices[note.voice].label,
        "pitch": {
            "step": LETTERS[note.pitch.step],
            "alter": _semitones(note.pitch.alter),
            "octave": note.pitch.octave,
        },
        "hand": row.fingered.hand,
        "tied": not note.plucked,
        "finger": row.fingered.finger,
        "origin": row.fingered.origin,
        "placing": row.fingered.placing,
    }


def _semitones(alter: Fraction) -> int | float:
    return alter.numerator if alter.denominator == 1 else float(alter)


def _as_table(rows: list[_Row]) -> str:
    cells = [_COLUMNS, *(_cells(row) for row in rows)]
    widths = [max(len(line[column]) for line in cells) for column in range(len(_COLUMNS))]
    lines = ("  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)) for line in cells)
    return "".join(line.rstrip() + "\n" for line in lines)


def _cells(row: _Row) -> tuple[str, ...]:
    note, fingered = row.note, row.fingered
    score = row.score
    return (
        str(note.source.place),
        "" if row.bar is None else str(row.bar),
        "" if row.beat is None else str(row.beat) + (" grace" if note.grace else ""),
        score.staves[note.staff].label,
        score.voices[note.voice].label,
        note.pitch.name,
        str(note.duration),
        str(fingered.hand or "-"),
        "tied" if not note.plucked else str(fingered.finger or "-"),
        str(fingered.origin or ""),
        "" if fingered.placing is None else str(fingered.placing),
    )
