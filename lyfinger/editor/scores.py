"""Which score a file belongs to: a file of notes is fingered as the score that includes it is."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

_INCLUDE = re.compile(rb'\\include\s+"([^"\n]*)"')
_SKIPPED = frozenset({"node_modules", "build", "out"})
MOST_FILES = 2_000
"""Files looked at below a folder; a folder with more is no folder of scores."""


def scores_of(file: Path, folder: Path, texts: Mapping[Path, bytes]) -> list[Path]:
    """The files below ``folder`` that include ``file``, through others if need be, and that no file includes: by path.

    ``texts`` are the bytes of files as they stand in the editor. Includes are compared by their last name only, so this
    is a guess; reading the score tells.
    """
    includes: dict[Path, set[str]] = {}
    for path in _sources(folder):
        data = texts.get(path) or _bytes(path)
        includes[path] = {os.path.basename(name.decode("utf-8", "replace")) for name in _INCLUDE.findall(data)}
    reached, pending = {file}, [file]
    while pending:
        name = pending.pop().name
        above = [path for path, names in includes.items() if name in names and path not in reached]
        reached.update(above)
        pending.extend(above)
    included = {name for path in reached for name in includes.get(path, ())}
    return sorted(path for path in reached - {file} if path.name not in included)


def _sources(folder: Path) -> Iterator[Path]:
    left = MOST_FILES
    for here, folders, names in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith(".") and name not in _SKIPPED)
        for name in sorted(names):
            left -= 1
            if left < 0:
                return
            if name.endswith((".ly", ".ily")):
                yield Path(here, name)


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""
