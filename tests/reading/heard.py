"""Readings of short texts, and what is heard in them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from lyfinger.reading.reader import read
from lyfinger.score.model import Note, Reading
from lyfinger.score.pitch import LETTERS
from lyfinger.source.library import Library

SIGNS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}


def reading_of(text: str, *, strict: bool = False) -> Reading:
    """What is read of a text that is called ``test.ly``. Raises Refused."""
    library = Library()
    return read(library.stdin(text.encode("utf-8", "surrogateescape"), "test.ly"), library, strict=strict)


def reading_in(folder: Path, files: Mapping[str, str], root: str) -> Reading:
    """What is read of ``root``, one of the files that are written into ``folder``. Raises Refused."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    library = Library(directory=folder)
    return read(library.root(root), library)


def spelled(note: Note) -> str:
    """A note as ``c#4@1/4``: its pitch in scientific octaves, and its moment."""
    pitch = note.pitch
    return f"{LETTERS[pitch.step].lower()}{SIGNS[int(pitch.alter)]}{pitch.octave}@{note.moment}{note.grace or ''}"


def heard(reading: Reading) -> str:
    """All notes of all scores, in order of time."""
    return " ".join(spelled(note) for score in reading.scores for note in score.notes)


def told(reading: Reading) -> list[str]:
    """The messages."""
    return [str(message) for message in reading.messages]
