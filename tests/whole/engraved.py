"""What the typesetter prints of a file before and after marking, brought to the same places.

A place is ``(file below the root, line, character)``; the digits that were put in are taken off the characters.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from tests.referee.engraver import run
from tests.referee.events import PlayedFinger, PlayedNote, ScoreEvents, played

from .insertions import inserted

Placed = tuple[str, int, int]


class Finger(NamedTuple):
    """A printed fingering that belongs to a note: the note's place and time, and what is printed."""

    place: Placed
    score: int
    moment: Fraction
    grace: Fraction
    pitch: tuple[int | None, int | None, Fraction | None]
    text: str


class Loose(NamedTuple):
    """A printed fingering that belongs to no single note."""

    score: int
    moment: Fraction
    grace: Fraction
    text: str


class Printed(NamedTuple):
    """All that one file prints."""

    notes: list[tuple[object, ...]]
    fingers: Counter[Finger]
    loose: Counter[Loose]
    tied: set[Placed]


class _Back:
    """From places in a marked tree to places in the source tree."""

    def __init__(self, source: Path, marked: Path) -> None:
        self.source, self.marked = source, marked

    def place(self, file: str, line: int, char: int) -> Placed:
        name = Path(file).resolve().relative_to(self.marked.resolve()).as_posix()
        if self.source == self.marked:
            return name, line, char
        added = _added(self.source / name, self.marked / name)
        return name, line, char - 2 * bisect_right(added.get(line, []), char, key=lambda at: at + 1)


@lru_cache(maxsize=64)
def _added(before: Path, after: Path) -> dict[int, list[int]]:
    """For each line the characters, in the marked line, of what was put in."""
    data = before.read_bytes()
    offsets = inserted(data, after.read_bytes())
    found: dict[int, list[int]] = {}
    for at, _ in offsets:
        start = data.rfind(b"\n", 0, at) + 1
        listed = found.setdefault(data.count(b"\n", 0, at) + 1, [])
        listed.append(len(data[start:at].decode("utf-8-sig", "surrogateescape")) + 2 * len(listed))
    return found


def printed(path: Path, source: Path, marked: Path) -> Printed:
    """What ``path``, a file of the tree ``marked``, prints, told in places of the tree ``source``."""
    back = _Back(source, marked)
    scores = played(path)
    assert all(score.finished for score in scores)
    notes = [_note(note, score, back) for score in scores for note in score.notes]
    tied = {back.place(note.file, note.line, note.char) for score in scores for note in score.notes if note.tied}
    fingers: Counter[Finger] = Counter()
    loose: Counter[Loose] = Counter()
    for score in scores:
        by_number = {note.number: note for note in score.notes}
        for finger in score.fingers:
            if finger.note is None:
                loose[Loose(score.index, finger.moment, finger.grace, _text(finger))] += 1
            else:
                fingers[_finger(finger, by_number[finger.note], score.index, back)] += 1
    return Printed(notes, fingers, loose, tied)


def _note(note: PlayedNote, score: ScoreEvents, back: _Back) -> tuple[object, ...]:
    return (
        score.index,
        back.place(note.file, note.line, note.char),
        note.moment,
        note.grace,
        note.duration,
        (note.octave, note.step, note.alter),
        note.staff,
        note.voice,
        note.bar,
        note.position,
        note.tied,
    )


def _finger(finger: PlayedFinger, note: PlayedNote, score: int, back: _Back) -> Finger:
    place = back.place(note.file, note.line, note.char)
    return Finger(place, score, note.moment, note.grace, (note.octave, note.step, note.alter), _text(finger))


def _text(finger: PlayedFinger) -> str:
    return str(finger.digit) if finger.digit is not None else finger.text or ""


def complaints(path: Path, output: Path, include_dirs: Sequence[Path] = ()) -> Counter[str]:
    """What the typesetter warns of when it lays a file out, without the places."""
    output.mkdir(parents=True, exist_ok=True)
    log = run(
        [
            "--loglevel=WARN",
            "-dno-print-pages",
            *(f"-I{folder.resolve()}" for folder in include_dirs),
            "-o",
            output.resolve() / path.stem,
            path.resolve(),
        ],
        folder=output,
    )
    assert log.returncode == 0, log.stderr
    return Counter(re.findall(r"(?:warning|error): .*", log.stderr))
