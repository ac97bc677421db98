"""Digits that were chosen outside the source: read from a file, and held to as if they stood there.

The format is lyfinger's own, JSON that the page of ``lyfinger proof`` writes::

    {"lyfinger-locks": 1,
     "files": [{"name": "Parts/harp.ly", "sha256": "…", "digits": [{"line": 12, "column": 7, "finger": 2}]}]}

Lines and columns are 1-based, as in messages, and lead to a note. A digest says which bytes they were chosen for; a
document with music is one file, as it stands on disk.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from ..score.model import Reading, SourceNote
from ..source.messages import Refused
from ..source.text import Place, SourceFile

MARK, VERSION = "lyfinger-locks", 1


class FileLocks(NamedTuple):
    """The chosen digits of one file: its name when they were chosen, the SHA-256 of its bytes, and finger by line and
    column."""

    name: str
    sha256: str
    digits: Mapping[tuple[int, int], int]


def parse_locks(data: bytes, name: str) -> tuple[FileLocks, ...]:
    """The locks in a file's bytes; ``name`` is how messages call it. Raises Refused for anything else."""
    try:
        whole = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise Refused(f"{name} holds no locks: it is not JSON") from error
    if not isinstance(whole, dict) or MARK not in whole:
        raise Refused(f"{name} holds no locks, as the page of lyfinger proof gives them")
    if whole[MARK] != VERSION:
        raise Refused(f"{name}: these locks are of another version ({MARK} {whole[MARK]}, not {VERSION})")
    try:
        return tuple(_file(item) for item in whole["files"])
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise Refused(f"{name}: these locks are damaged") from error


def _file(item: Any) -> FileLocks:
    digits: dict[tuple[int, int], int] = {}
    for one in item["digits"]:
        place, finger = (one["line"], one["column"]), one["finger"]
        if not all(type(number) is int for number in (*place, finger)) or not 1 <= finger <= 4:
            raise ValueError("no place, or no finger")
        if digits.setdefault(place, finger) != finger:
            raise ValueError("two fingers at one place")
    return FileLocks(str(item["name"]), str(item["sha256"]), digits)


def chosen_fingers(locks: Sequence[FileLocks], readings: Sequence[Reading]) -> dict[Place, int]:
    """The chosen finger of each source note, by its place.

    Raises Refused for a file that no reading has or whose bytes have changed, a place without a note that can take a
    digit, and a note that has one already.
    """
    import hashlib

    files: dict[str, list[SourceFile]] = {}
    for file in dict.fromkeys(file for reading in readings for file in reading.files):
        files.setdefault(hashlib.sha256(Place(file, 0).in_whole.file.data).hexdigest(), []).append(file)
    notes: dict[Place, SourceNote] = {}
    for reading in readings:
        for score in reading.scores:
            for note in score.notes:
                notes.setdefault(note.source.place, note.source)
    found: dict[Place, int] = {}
    for item in locks:
        if item.sha256 not in files:
            raise _not_there(item, readings)
        for (line, column), finger in item.digits.items():
            found[_note(_called(item.name, files[item.sha256]), line, column, notes)] = finger
    return found


def _called(name: str, files: Sequence[SourceFile]) -> Sequence[SourceFile]:
    """Of files with the same bytes those with a name, if there are any."""
    return [file for file in files if file.name == name] or files


def _note(files: Sequence[SourceFile], line: int, column: int, notes: Mapping[Place, SourceNote]) -> Place:
    """The note at a place of a file; of a document with music ``files`` are the snippets."""
    places = [Place(file, offset) for file in files if (offset := file.offset_of(line, column)) is not None]
    if not places:
        raise Refused(f"{files[0].name} has no line {line} with a column {column} to lock a digit at")
    place = next((place for place in places if place in notes), places[0])
    note = notes.get(place)
    if note is None or note.unmarkable is not None:
        raise Refused("no note stands here that could take the chosen digit", place)
    if note.locked:
        raise Refused("a digit stands here already; delete it, or take it out of the locks", place)
    return place


def _not_there(item: FileLocks, readings: Sequence[Reading]) -> Refused:
    names = (os.path.basename(file.name) for reading in readings for file in reading.files)
    if os.path.basename(item.name) in names:
        return Refused(f"{item.name} has changed since its locks were chosen: make the proof anew")
    return Refused(f"{item.name} has locks, and is none of the files that are read")
