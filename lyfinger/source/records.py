"""What earlier runs wrote below an output directory, so that two root scores can't fight over a shared file.

Marking one root after another writes a file that both include twice. If the second would give it other digits,
the first score's tree is spoilt in silence; so each run leaves a record, and the next one looks.
"""

from __future__ import annotations

import json
import stat
from collections.abc import Mapping
from pathlib import Path, PurePath
from typing import Any, NamedTuple

FOLDER = ".lyfinger"
LONGEST = 64 * 2**20
"""Bytes of a file that a record is read from or speaks of; see ``Limits`` in ``library.py``."""


class RootRecord(NamedTuple):
    """What the last run on one root score read and wrote.

    Names are paths below the mirrored root. ``settings`` is a digest of version and configuration; ``inputs`` and
    ``outputs`` map names to digests of contents.
    """

    root: str
    settings: str
    inputs: Mapping[str, str]
    outputs: Mapping[str, str]

    def is_current(self, root: Path, settings: str) -> bool:
        """Whether a new run on this root score would read just what the recorded one read."""
        return self.settings == settings and all(_digest_at(root / name) == sum for name, sum in self.inputs.items())

    def first_clash(self, other: RootRecord) -> str | None:
        """The first file that both wrote, with different contents."""
        both = sorted(self.outputs.keys() & other.outputs.keys())
        return next((name for name in both if self.outputs[name] != other.outputs[name]), None)


def digest(data: bytes) -> str:
    """A short name for contents: the same for the same bytes on every machine."""
    import hashlib

    return hashlib.sha256(data).hexdigest()


def read_records(directory: Path) -> list[RootRecord]:
    """The records below an output directory, by name; what is no record of this version proves nothing."""
    found = []
    for path in sorted((directory / FOLDER).rglob("*.json")):
        try:
            found.append(_record(json.loads(_read(path))))
        except (OSError, ValueError, KeyError, TypeError, RecursionError):
            continue
    return found


def _record(data: Any) -> RootRecord:
    """A record from what stands in its file. Raises ValueError, KeyError or TypeError for anything else."""
    record = RootRecord(data["root"], data["settings"], dict(data["inputs"]), dict(data["outputs"]))
    sums = [item for files in (record.inputs, record.outputs) for pair in files.items() for item in pair]
    if not all(isinstance(item, str) for item in (record.root, record.settings, *sums)):
        raise TypeError("a record names files and digests")
    for name in (record.root, *record.inputs, *record.outputs):
        if PurePath(name).is_absolute() or ".." in PurePath(name).parts:
            raise ValueError("a record knows nothing outside its tree")
    return record


def _read(path: Path) -> bytes:
    """The bytes of a regular file that is no longer than a source may be. Raises OSError or ValueError."""
    status = path.stat()
    if not stat.S_ISREG(status.st_mode) or status.st_size > LONGEST:
        raise ValueError("no file of a score")
    return path.read_bytes()


def record_file(directory: Path, record: RootRecord) -> tuple[Path, bytes]:
    """Where a record is kept and what stands in it."""
    fields = {
        "root": record.root,
        "settings": record.settings,
        "inputs": dict(sorted(record.inputs.items())),
        "outputs": dict(sorted(record.outputs.items())),
    }
    text = json.dumps(fields, indent=1, ensure_ascii=False) + "\n"
    return directory / FOLDER / f"{record.root}.json", text.encode("utf-8", "surrogateescape")


def _digest_at(path: Path) -> str | None:
    try:
        return digest(_read(path))
    except (OSError, ValueError):
        return None
