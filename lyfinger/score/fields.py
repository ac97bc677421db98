"""Notes as plain values: what stands the same in every JSON that lyfinger writes."""

from __future__ import annotations

from typing import Any

from .model import Note, Score
from .pitch import LETTERS, Pitch


def note_fields(score: Score, note: Note) -> dict[str, Any]:
    """Where a note stands, in the source (line and column 1-based) and in the music (scores counted from 1, printed
    bar, beat as a string such as ``5/2``; both null where nothing counts bars)."""
    line, column = note.source.place.line_column
    return {
        "file": note.source.place.file.name,
        "line": line,
        "column": column,
        "score": score.index + 1,
        "bar": score.bar_number(note),
        "beat": str(score.beat_of(note)) if score.bars else None,
    }


def pitch_fields(pitch: Pitch) -> dict[str, Any]:
    """Letter, alteration in semitones (whole where it is), octave (4 from middle C)."""
    alter = pitch.alter
    return {
        "step": LETTERS[pitch.step],
        "alter": int(alter) if alter.denominator == 1 else float(alter),
        "octave": pitch.octave,
    }
