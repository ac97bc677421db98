"""Compare what lyfinger read with what the typesetter printed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

from .events import Origin, PlayedNote, ScoreEvents

STEPS = "cdefgab"
UNPRINTED = frozenset({"CueVoice", "NullVoice", "TabVoice"})
"""Voices whose notes the reader may leave out: another plays them, nothing of them is printed, or not as a note."""


@dataclass(frozen=True, order=True, slots=True)
class Row:
    """A note as both sides can tell it. Column 1-based, tabs to the next multiple of eight; alter in semitones."""

    file: str
    line: int
    column: int
    moment: Fraction
    grace: Fraction
    duration: Fraction
    octave: int
    step: int
    alter: Fraction
    bar: int
    beat: Fraction

    @property
    def but_place(self) -> tuple[Any, ...]:
        return (self.file, *self.heard)

    @property
    def heard(self) -> tuple[Any, ...]:
        return (self.moment, self.grace, self.duration, self.octave, self.step, self.alter, self.bar, self.beat)

    def __str__(self) -> str:
        alter = f" {'raised' if self.alter > 0 else 'lowered'} {abs(self.alter)}" if self.alter else ""
        grace = f" grace {self.grace}" if self.grace else ""
        return (
            f"{self.file}:{self.line}:{self.column}: {STEPS[self.step]}{alter} octave {self.octave}, "
            f"moment {self.moment}{grace}, duration {self.duration}, bar {self.bar} beat {self.beat}"
        )


@dataclass(frozen=True, slots=True)
class Agreement:
    """``missing`` were printed and not read, ``extra`` were read and not printed; both sorted.

    ``tied`` are notes that both have, but of which only one says that a tie leads there. ``optional`` counts
    printed notes that the reader may leave out and did (cue notes, notes of a NullVoice, tablature)."""

    notes: int
    agreed: int
    missing: tuple[Row, ...]
    extra: tuple[Row, ...]
    tied: tuple[Row, ...] = ()
    optional: int = 0

    @property
    def exact(self) -> bool:
        return not (self.missing or self.extra or self.tied)

    def explain(self, limit: int = 20) -> str:
        """The differences, one a line, in the order of the source."""
        told = [("printed, not read", r) for r in self.missing] + [("read, not printed", r) for r in self.extra]
        told += [("tie", r) for r in self.tied]
        lines = [f"{row}: {what}" for what, row in sorted(told, key=lambda pair: (pair[1], pair[0]))]
        more = [f"… and {len(lines) - limit} more"] if len(lines) > limit else []
        head = f"{self.agreed} of {self.notes} notes agree, {len(self.missing)} missing, {len(self.extra)} extra"
        return "\n".join([head, *lines[:limit], *more])


@dataclass(slots=True)
class _Side:
    """Notes by row; each with its tie and whether the other side may lack it."""

    rows: dict[Row, list[tuple[bool, bool]]] = field(default_factory=lambda: defaultdict(list))

    def add(self, row: Row, tied: bool, optional: bool = False) -> None:
        self.rows[row].append((tied, optional))

    def take(self, row: Row) -> tuple[bool, bool]:
        """One of the row's notes; those that the other side may lack last."""
        entries = self.rows[row]
        entry = min(entries, key=lambda entry: entry[1])
        entries.remove(entry)
        if not entries:
            del self.rows[row]
        return entry


def compare(
    reading: Mapping[str, Any] | Sequence[Mapping[str, Any]], events: Iterable[ScoreEvents], folder: Path | None = None
) -> Agreement:
    """Compare the JSON of ``lyfinger notes`` (the object, or its list of notes) with the typesetter's events.

    File names are taken relative to ``folder`` (default: the working directory). Percussion is left out. Where
    the typesetter gives the place of a prefix command for a note, the nearest note behind it that is equal in
    everything else is the one meant.
    """
    notes = reading["notes"] if isinstance(reading, Mapping) else reading
    base = folder or Path.cwd()
    read, printed, prefixed = _Side(), _Side(), _Side()
    for note in notes:
        read.add(_read_row(note, base), bool(note.get("tied")))
    total = 0
    for score in events:
        for event in score.notes:
            if event.step is not None:
                total += 1
                side = prefixed if event.origin in (Origin.COMMAND, Origin.ELSEWHERE) else printed
                optional = event.voice.kind in UNPRINTED or event.staff.kind == "TabStaff"
                side.add(_printed_row(event, base), event.tied, optional)
    tied = _match_exact(printed, read)
    tied += _match_exact(prefixed, read)
    tied += _match_behind(prefixed, read)
    left = [(row, optional) for side in (printed, prefixed) for row, es in side.rows.items() for _, optional in es]
    missing = sorted(row for row, optional in left if not optional)
    extra = sorted(row for row, entries in read.rows.items() for _ in entries)
    skipped = len(left) - len(missing)
    return Agreement(
        total - skipped, total - len(left), tuple(missing), tuple(extra), tuple(sorted(tied)), optional=skipped
    )


def _match_exact(printed: _Side, read: _Side) -> list[Row]:
    """Take away what both sides have; return the rows where the ties differ."""
    differ = []
    for row in list(printed.rows):
        while row in printed.rows and row in read.rows:
            ties = {printed.take(row)[0], read.take(row)[0]}
            if len(ties) > 1:
                differ.append(row)
    return differ


def _match_behind(prefixed: _Side, read: _Side) -> list[Row]:
    """Pair each printed note that stands at a prefix command with the nearest equal note read behind it."""
    differ = []
    candidates: dict[tuple[Any, ...], list[Row]] = defaultdict(list)
    for row, entries in read.rows.items():
        candidates[row.but_place].extend([row] * len(entries))
    for row in sorted(prefixed.rows, reverse=True):
        for _ in range(len(prefixed.rows[row])):
            behind = [r for r in candidates[row.but_place] if (r.line, r.column) > (row.line, row.column)]
            if not behind:
                break
            chosen = min(behind)
            candidates[row.but_place].remove(chosen)
            if prefixed.take(row)[0] != read.take(chosen)[0]:
                differ.append(chosen)
    return differ


def _resolved(name: str, base: Path) -> str:
    return str((base / name).resolve())


def _printed_row(note: PlayedNote, base: Path) -> Row:
    assert note.octave is not None
    assert note.step is not None
    assert note.alter is not None
    return Row(
        _resolved(note.file, base) if note.file else "",
        note.line,
        note.column,
        note.moment,
        note.grace,
        note.duration,
        note.octave,
        note.step,
        note.alter,
        note.bar,
        note.beat,
    )


def _read_row(note: Mapping[str, Any], base: Path) -> Row:
    pitch = note["pitch"]
    step = pitch["step"]
    return Row(
        _resolved(note["file"], base),
        note["line"],
        note["column"],
        Fraction(note["moment"]),
        Fraction(note["grace"]),
        Fraction(note["duration"]),
        int(pitch["octave"]),
        STEPS.index(step.lower()) if isinstance(step, str) else int(step),
        Fraction(pitch["alter"]),
        int(note["bar"]),
        Fraction(note["beat"]),
    )
