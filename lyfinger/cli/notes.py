"""``lyfinger notes``: every printed note as it was read, as a table or as JSON."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import NamedTuple

from ..fingering.tables import forget_tables
from ..marking.excerpt import Excerpt
from ..marking.plan import Fingered, RootPlan
from ..score.fields import note_fields, pitch_fields
from ..score.model import Note, Score
from .exit import Exit
from .listing import listed
from .session import open_sessions, say_messages
from .streams import write_text

_COLUMNS = ("place", "bar", "beat", "staff", "voice", "pitch", "length", "hand", "finger", "", "placing")


def notes(options: argparse.Namespace) -> int:
    """Run ``lyfinger notes``; returns the exit status. Raises Refused."""
    sessions = open_sessions(options, [options.file])
    forget_tables()
    say_messages(sessions)
    rows = [row for session in sessions for root in session.plan.roots for row in _rows(root, session.plan.excerpt)]
    write_text(listed(notes=map(_fields, rows)) if options.format == "json" else _as_table(rows))
    return Exit.DONE


class _Row(NamedTuple):
    score: Score
    note: Note
    fingered: Fingered


def _rows(root: RootPlan, excerpt: Excerpt) -> Iterator[_Row]:
    for score, fingered in zip(root.scores, root.fingered, strict=True):
        takes = excerpt.within(score)
        for note, item in zip(score.notes, fingered, strict=True):
            if takes(note):
                yield _Row(score, note, item)


def _fields(row: _Row) -> dict[str, object]:
    """Fractions are strings such as ``3/8``."""
    note = row.note
    return {
        **note_fields(row.score, note),
        "moment": str(note.moment),
        "grace": str(note.grace),
        "duration": str(note.duration),
        "staff": row.score.staves[note.staff].label,
        "voice": row.score.voices[note.voice].label,
        "pitch": pitch_fields(note.pitch),
        "hand": row.fingered.hand,
        "tied": not note.plucked,
        "finger": row.fingered.finger,
        "origin": row.fingered.origin,
        "placing": row.fingered.placing,
    }


def _as_table(rows: list[_Row]) -> str:
    cells = [_COLUMNS, *(_cells(row) for row in rows)]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    lines = ("  ".join(map(str.ljust, line, widths)) for line in cells)
    return "".join(line.rstrip() + "\n" for line in lines)


def _cells(row: _Row) -> tuple[str, ...]:
    score, note, fingered = row
    bar = score.bar_of(note) if score.bars else None
    return (
        str(note.source.place),
        "" if bar is None else str(bar.number),
        "" if bar is None else str(bar.beat_at(note.moment)) + (" grace" if note.grace else ""),
        score.staves[note.staff].label,
        score.voices[note.voice].label,
        note.pitch.name,
        str(note.duration),
        str(fingered.hand or "-"),
        "tied" if not note.plucked else str(fingered.finger or "-"),
        str(fingered.origin or ""),
        "" if fingered.placing is None else str(fingered.placing),
    )
