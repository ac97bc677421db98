"""The typesetter's rulings on a corpus, kept so that each file is engraved once for each engraver."""

from __future__ import annotations

import gzip
import hashlib
import json
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import cache as remembered
from pathlib import Path
from typing import Any

from tests.referee import engraver, events

from .gather import Source

_FILE_FIELD = {"note": 3, "finger": 2}


@remembered
def _engraver_key() -> str:
    scheme = hashlib.sha256()
    for name in ("events.ily", "json.ily"):
        scheme.update((events.HERE / name).read_bytes())
    return f"{engraver.version()}-{scheme.hexdigest()[:12]}"


def _place(cache: Path, source: Source) -> Path:
    return cache / "rulings" / _engraver_key() / source.digest[:2] / f"{source.digest}.json.gz"


def _moved(rows: list[list[Any]], folder: Path, *, away: bool) -> list[list[Any]]:
    """File names relative to the source's folder (``away``), or back again."""
    for row in rows:
        at = _FILE_FIELD.get(row[0])
        if at is not None and row[at]:
            row[at] = os.path.relpath(row[at], folder) if away else os.path.normpath(folder / row[at])
    return rows


def ruling(source: Source, cache: Path, timeout: float = 60) -> events.Ruling:
    """What the typesetter says of one file, from the cache if it was asked before.

    A crash or a time-out is kept as an error of a ruling without scores.
    """
    kept = _place(cache, source)
    folder = source.path.parent.resolve()
    if kept.exists():
        stored = json.loads(gzip.decompress(kept.read_bytes()))
    else:
        try:
            rows, errors = events.raw_rows(source.path, timeout=timeout)
        except (engraver.RefereeError, ValueError) as problem:
            rows, errors = [], (f"no ruling: {problem}",)
        stored = {"rows": _moved(rows, folder, away=True), "errors": list(errors)}
        _keep(kept, json.dumps(stored, ensure_ascii=True).encode("ascii"))
    return events.ruling_of(_moved(stored["rows"], folder, away=False), tuple(stored["errors"]))


def _keep(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    half = path.with_suffix(f".{os.getpid()}.part")
    half.write_bytes(gzip.compress(data, mtime=0))
    half.replace(path)


def rulings(sources: Sequence[Source], cache: Path, jobs: int = 1) -> Iterator[tuple[Source, events.Ruling]]:
    """The rulings on many files, in order, by several typesetters at a time."""
    with ThreadPoolExecutor(jobs) as pool:
        yield from zip(sources, pool.map(lambda source: ruling(source, cache), sources), strict=True)
