"""Look at what is engraved: pictures of the pages, and the digits as they were printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from .engraver import RefereeError, run
from .events import PlayedNote, played


@dataclass(frozen=True, order=True, slots=True)
class PrintedFingering:
    """A fingering as printed, beside its note: the note's place (column 1-based, tabs to the next multiple of
    eight), its moment and staff (id, or the staff's number in the score). ``text`` is the digit or the words."""

    file: str
    line: int
    column: int
    moment: Fraction
    grace: Fraction
    staff: str
    text: str


def engrave(
    path: Path, output: Path, include_dirs: Sequence[Path] = (), *, resolution: int = 100, timeout: float = 300
) -> list[Path]:
    """Engrave the pages as PNG pictures into the folder ``output``, and return them in page order.

    ``resolution`` is in dots per inch. Raises RefereeError if the typesetter reports an error.
    """
    output.mkdir(parents=True, exist_ok=True)
    before = set(output.glob("*.png"))
    for old in before:
        if old.stem == path.stem or old.stem.startswith(f"{path.stem}-page"):
            old.unlink()
    log = run(
        [
            "--loglevel=ERROR",
            "-dbackend=cairo",
            "--png",
            f"-dresolution={resolution}",
            *(f"-I{include.resolve()}" for include in include_dirs),
            "-o",
            output.resolve() / path.stem,
            path.resolve(),
        ],
        folder=output,
        timeout=timeout,
    )
    if log.returncode:
        raise RefereeError(log.stderr)
    pages = [p for p in output.glob("*.png") if p.stem == path.stem or p.stem.startswith(f"{path.stem}-page")]
    return sorted(pages, key=lambda page: (len(page.name), page.name))


def fingerings(
    path: Path, include_dirs: Sequence[Path] = (), *, score: int | None = None, timeout: float = 120
) -> list[PrintedFingering]:
    """Every printed fingering that belongs to a note, in the order of the source (one entry a sounding).

    Digits of a whole chord or of an empty chord are not among them: see ``loose_fingerings``. ``score`` picks
    one printed score by its place in the book.
    """
    found = []
    for events in played(path, include_dirs, timeout):
        if score is None or events.index == score:
            notes = {note.number: note for note in events.notes}
            found += [
                _beside(notes[finger.note], finger.digit, finger.text)
                for finger in events.fingers
                if finger.note is not None
            ]
    return sorted(found)


def loose_fingerings(
    path: Path, include_dirs: Sequence[Path] = (), timeout: float = 120
) -> list[tuple[str, int, int, Fraction, str]]:
    """Printed digits that belong to no single note: file, line, column of the digit, its moment, its text."""
    return sorted(
        (f.file, f.line, f.column, f.moment, _text(f.digit, f.text))
        for events in played(path, include_dirs, timeout)
        for f in events.fingers
        if f.note is None
    )


def _text(digit: int | None, text: str | None) -> str:
    return str(digit) if digit is not None else text or ""


def _beside(note: PlayedNote, digit: int | None, text: str | None) -> PrintedFingering:
    staff = note.staff.name or str(note.staff.number)
    return PrintedFingering(note.file, note.line, note.column, note.moment, note.grace, staff, _text(digit, text))
