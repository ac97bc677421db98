"""Put what lyfinger reads in one file beside the typesetter's ruling."""

from __future__ import annotations

import re
import signal
import traceback
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction
from pathlib import Path
from types import FrameType
from typing import Any

from lyfinger.reading.reader import read
from lyfinger.score.model import Reading
from lyfinger.source.library import Library
from lyfinger.source.messages import Message, Refused, Severity
from tests.referee.agreement import Agreement, Row, compare
from tests.referee.events import Ruling


class Outcome(Enum):
    """How a file came out. ``UNRULED``: the typesetter itself complains of it, so that nothing can be said."""

    EXACT = "exact"
    WARNED = "unread but warned"
    WRONG = "wrong"
    REFUSED = "refused"
    CRASHED = "crashed"
    UNRULED = "not ruled"


@dataclass(frozen=True, slots=True)
class Verdict:
    """One file. Notes ``missing`` were printed and not read, and no warning names the passage; ``warned`` ones lie
    in a passage that a warning names (a note that Scheme made, or that stands in a file of the typesetter's own, has
    no place: a warning of Scheme or of an unknown command is taken for its own); ``extra`` ones were read and not
    printed; ``tied``: only one side has the tie. ``constructs`` are the commands of the whole file, ``beside`` those
    on the lines of the differences, by notes."""

    label: str
    path: str
    outcome: Outcome
    notes: int = 0
    agreed: int = 0
    warned: int = 0
    missing: int = 0
    extra: int = 0
    tied: int = 0
    reason: str = ""
    differences: tuple[str, ...] = ()
    constructs: tuple[str, ...] = ()
    beside: Mapping[str, int] = field(default_factory=dict)


class TookTooLong(BaseException):
    """Reading did not end in time. Not an Exception, so that no handler on the way takes it for one."""


@contextmanager
def _limit(seconds: int) -> Iterator[None]:
    def stop(_signal: int, _frame: FrameType | None) -> None:
        raise TookTooLong(f"more than {seconds} s")

    before = signal.signal(signal.SIGALRM, stop)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def judge(label: str, path: Path, ruling: Ruling, seconds: int = 10) -> Verdict:
    """Read one file and compare. Nothing that the reader does is raised."""
    found = constructs(path)
    if ruling.errors:
        return Verdict(label, str(path), Outcome.UNRULED, reason=ruling.errors[0], constructs=found)
    printed = sum(note.step is not None for score in ruling.scores for note in score.notes)
    try:
        with _limit(seconds):
            library = Library(directory=path.parent)
            reading = read(library.root(str(path)), library)
    except Refused as refusal:
        return Verdict(label, str(path), Outcome.REFUSED, printed, reason=str(refusal), constructs=found)
    except (Exception, TookTooLong) as error:  # whatever it is, it is a finding of the comparison
        return Verdict(label, str(path), Outcome.CRASHED, printed, reason=_told(error), constructs=found)
    agreement = compare(rows(reading), ruling.scores, path.parent)
    return _verdict(label, path, agreement, reading, found)


def rows(reading: Reading) -> list[dict[str, Any]]:
    """The notes of the printed scores, by the names that ``lyfinger notes --format json`` has for them."""
    found = []
    for score in reading.scores:
        if score.printed and not score.loose:
            for note in score.notes:
                line, column = note.source.place.line_column
                bar = score.bar_of(note) if score.bars else None
                pitch = {"step": note.pitch.step, "alter": note.pitch.alter, "octave": note.pitch.octave}
                found.append(
                    {
                        "file": str(note.source.place.file.path or note.source.place.file.name),
                        "line": line,
                        "column": column,
                        "bar": bar.number if bar else 0,
                        "beat": bar.engraved_beat(note.moment, note.grace) if bar else Fraction(1),
                        "moment": note.moment,
                        "grace": note.grace,
                        "duration": note.duration,
                        "pitch": pitch,
                        "tied": not note.plucked,
                    }
                )
    return found


def _told(error: BaseException) -> str:
    frames = traceback.extract_tb(error.__traceback__)
    where = next((f for f in reversed(frames) if "lyfinger" in f.filename), frames[-1] if frames else None)
    place = f" in {Path(where.filename).name}:{where.lineno}" if where else ""
    return f"{type(error).__name__}: {error}{place}"[:300]


def differences(agreement: Agreement, reading: Reading) -> tuple[list[tuple[str, Row]], list[Row]]:
    """What differs without a warning, in the order of the source, each with what it is; then the printed notes that
    were not read and lie in a passage that a warning names."""
    messages = reading.messages
    spans = [_span(message) for message in messages if message.severity >= Severity.WARNING and message.end]
    files = {str((file.path or Path(file.name)).resolve()) for file in reading.files}
    made = any(message.end and _NO_PLACE.search(message.text) for message in messages)
    warned = [
        row
        for row in agreement.missing
        if any(_inside(row, span) for span in spans) or (made and row.file not in files)
    ]
    missing = [row for row in agreement.missing if row not in set(warned)]
    told = [(NOT_READ, r) for r in missing] + [("read, not printed", r) for r in agreement.extra]
    told += [("tie", r) for r in agreement.tied]
    return sorted(told, key=lambda pair: (pair[1], pair[0])), warned


NOT_READ = "printed, not read"


def _verdict(label: str, path: Path, agreement: Agreement, reading: Reading, found: tuple[str, ...]) -> Verdict:
    told, warned = differences(agreement, reading)
    return Verdict(
        label,
        str(path),
        Outcome.WRONG if told else Outcome.WARNED if warned else Outcome.EXACT,
        notes=agreement.notes,
        agreed=agreement.agreed,
        warned=len(warned),
        missing=sum(what == NOT_READ for what, _ in told),
        extra=len(agreement.extra),
        tied=len(agreement.tied),
        reason="; ".join(str(message) for message in reading.messages if message.end)[:500],
        differences=tuple(f"{row}: {what}" for what, row in told[:40]),
        constructs=found,
        beside=_beside([row for _, row in told]),
    )


_NO_PLACE = re.compile(r"Scheme|is not known")
"""What the warnings say that stand for notes without a place in the files that are read."""

Span = tuple[str, tuple[int, int], tuple[int, int]]


def _span(message: Message) -> Span:
    assert message.end is not None
    name = str((message.place.file.path or Path(message.place.file.name)).resolve())
    return name, message.place.line_column, message.end.line_column


def _inside(row: Row, span: Span) -> bool:
    file, first, last = span
    return row.file == file and first <= (row.line, row.column) <= last


_COMMAND = re.compile(r"\\[A-Za-zÀ-ÿ]+(?:[-_][A-Za-zÀ-ÿ]+)*|<<|\\\\|#\{|\$|\bq\b")
_UNSEEN = re.compile(r'%\{.*?%\}|%[^\n]*|"(?:[^"\\\n]|\\.)*"', re.DOTALL)


def _commands(text: str) -> set[str]:
    return set(_COMMAND.findall(text))


def constructs(path: Path) -> tuple[str, ...]:
    """The commands that a file has outside of comments and strings."""
    text = path.read_bytes().decode("utf-8", "replace")
    return tuple(sorted(_commands(_UNSEEN.sub(" ", text))))


def _beside(wrong: list[Row]) -> dict[str, int]:
    """Commands on the lines where notes differ, with the number of those notes."""
    tally: Counter[str] = Counter()
    lines: dict[str, list[str]] = {}
    for row in wrong:
        if row.file not in lines:
            try:
                lines[row.file] = Path(row.file).read_bytes().decode("utf-8", "replace").split("\n")
            except OSError:
                lines[row.file] = []
        text = lines[row.file][row.line - 1] if 0 < row.line <= len(lines[row.file]) else ""
        tally.update(_commands(_UNSEEN.sub(" ", text)) or {"(nothing on the line)"})
    return dict(tally.most_common())
