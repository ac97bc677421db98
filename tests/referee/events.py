"""What the typesetter prints, note by note, as it reports it itself.

An engraver in Scheme (``events.ily``) is put into every printed score; the score is interpreted, not laid out.
Moments and durations are fractions of a whole note, in printed order.
"""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

from .engraver import RefereeError, reported
from .older import events_settings

HERE = Path(__file__).resolve().parent


class Origin(Enum):
    """What stands in the source at the place that the typesetter gives for a note."""

    PITCH = "pitch"
    REPEATED_CHORD = "q"
    BARE_DURATION = "duration"
    COMMAND = "command"
    ELSEWHERE = "elsewhere"


@dataclass(frozen=True, slots=True)
class Context:
    """A context of the typesetter: its type (``Staff``), its id, and a number that is its own in the score."""

    kind: str
    name: str
    number: int


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """One printed note head. ``column`` is the typesetter's (1-based, tabs to the next multiple of eight);
    ``char`` counts characters from 0. ``octave`` is scientific, ``step`` 0–6 from c, ``alter`` in semitones;
    all three are None on a percussion note. ``position`` is the place in the measure (whole notes)."""

    number: int
    file: str
    line: int
    char: int
    column: int
    origin: Origin
    moment: Fraction
    grace: Fraction
    duration: Fraction
    octave: int | None
    step: int | None
    alter: Fraction | None
    staff: Context
    voice: Context
    bar: int
    position: Fraction
    beat: Fraction
    tied: bool


@dataclass(frozen=True, slots=True)
class PlayedFinger:
    """One printed fingering, ``digit`` or ``text``. ``direction`` is 1, -1, or None where the source gives none.
    ``note`` is the number of its note; None for digits of a whole chord and for digits without a note."""

    file: str
    line: int
    char: int
    column: int
    moment: Fraction
    grace: Fraction
    digit: int | None
    text: str | None
    direction: int | None
    note: int | None
    voice: int


@dataclass(frozen=True, slots=True)
class ScoreEvents:
    """One printed score, in the order of the book. ``finished`` is False where the engraver stopped half-way."""

    index: int
    notes: tuple[PlayedNote, ...]
    fingers: tuple[PlayedFinger, ...]
    finished: bool


@dataclass(frozen=True, slots=True)
class Ruling:
    """All printed scores of a file, and the errors of which the typesetter complained."""

    scores: tuple[ScoreEvents, ...]
    errors: tuple[str, ...]

    @property
    def notes(self) -> int:
        return sum(len(score.notes) for score in self.scores)


def played(path: Path, include_dirs: Sequence[Path] = (), timeout: float = 120) -> list[ScoreEvents]:
    """The printed scores of a file. Raises RefereeError on a crash, a time-out, or any error in the source."""
    ruling = rule(path, include_dirs, timeout)
    if ruling.errors:
        raise RefereeError("\n".join(ruling.errors))
    return list(ruling.scores)


def rule(path: Path, include_dirs: Sequence[Path] = (), timeout: float = 120) -> Ruling:
    """Like ``played``, but errors in the source are reported beside what was printed in spite of them."""
    return ruling_of(*raw_rows(path, include_dirs, timeout))


def raw_rows(
    path: Path, include_dirs: Sequence[Path] = (), timeout: float = 120
) -> tuple[list[list[Any]], tuple[str, ...]]:
    """The lines that ``events.ily`` wrote, and the error messages. Raises RefereeError on a crash or time-out."""
    with tempfile.TemporaryDirectory() as folder:
        settings = events_settings(Path(folder))
        log, lines = reported(path, settings, "LYFINGER_OUT", include_dirs, folder=Path(folder), timeout=timeout)
    if log.returncode not in (0, 1):
        raise RefereeError(f"the typesetter ended with status {log.returncode} on {path}")
    errors = tuple(line for line in log.stderr.splitlines() if "error: " in line)
    if log.returncode and not errors:
        errors = (f"the typesetter ended with status {log.returncode}",)
    return [json.loads(line) for line in lines], errors


def ruling_of(rows: Iterable[list[Any]], errors: tuple[str, ...]) -> Ruling:
    """Give the raw lines their types."""
    notes: dict[int, list[PlayedNote]] = {}
    fingers: dict[int, list[PlayedFinger]] = {}
    finished: set[int] = set()
    for kind, score, *fields in rows:
        if kind == "score":
            notes[score], fingers[score] = [], []
        elif kind == "note":
            notes[score].append(_note(fields))
        elif kind == "finger":
            fingers[score].append(_finger(fields))
        elif kind == "end":
            finished.add(score)
    scores = (ScoreEvents(i, tuple(notes[i]), tuple(fingers[i]), i in finished) for i in sorted(notes))
    return Ruling(tuple(scores), errors)


def _note(fields: list[Any]) -> PlayedNote:
    number, file, line, char, column, moment, grace, length, octave, step, alter, *rest = fields
    staff, voice = _context(rest[0:3]), _context(rest[3:6])
    bar, position, unit, tied = rest[6:]
    place = Fraction(position or 0)
    return PlayedNote(
        number=number,
        file=file,
        line=line,
        char=char,
        column=column + 1,
        origin=origin_at(file, line, char),
        moment=Fraction(moment),
        grace=Fraction(grace),
        duration=Fraction(length),
        octave=None if octave is False else octave,
        step=None if step is False else step,
        alter=None if alter is False else Fraction(alter),
        staff=staff,
        voice=voice,
        bar=bar or 0,
        position=place,
        beat=1 + place / Fraction(unit or 1),
        tied=tied,
    )


def _context(fields: list[Any]) -> Context:
    """A context that \\new made without an id is called ``\\new`` by the typesetter."""
    kind, name, number = fields
    return Context(kind, "" if name == "\\new" else name, number)


def _finger(fields: list[Any]) -> PlayedFinger:
    file, line, char, column, moment, grace, digit, text, direction, note, voice = fields
    return PlayedFinger(
        file=file,
        line=line,
        char=char,
        column=column + 1,
        moment=Fraction(moment),
        grace=Fraction(grace),
        digit=None if digit is False else digit,
        text=text or None,
        direction=None if direction is False else direction,
        note=None if note is False else note,
        voice=voice,
    )


@lru_cache(maxsize=64)
def _lines(file: str) -> tuple[str, ...]:
    try:
        data = Path(file).read_bytes()
    except OSError:
        return ()
    return tuple(data.decode("utf-8-sig", "surrogateescape").split("\n"))


_AT_ORIGIN = (
    (Origin.REPEATED_CHORD, re.compile(r"q(?![A-Za-zé])")),
    (Origin.PITCH, re.compile(r"[A-Za-zé]")),
    (Origin.BARE_DURATION, re.compile(r"[0-9]|\\(?:breve|longa|maxima)(?![A-Za-z])")),
    (Origin.COMMAND, re.compile(r"[\\-]|[\^_]")),
)


def origin_at(file: str, line: int, char: int) -> Origin:
    """What stands at a place (line from 1, char from 0)."""
    lines = _lines(file)
    text = lines[line - 1][char:] if 0 < line <= len(lines) else ""
    return next((origin for origin, pattern in _AT_ORIGIN if pattern.match(text)), Origin.ELSEWHERE)
