"""The command line in this process: what a user types, and what comes back."""

from __future__ import annotations

import contextlib
import io
import json
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lyfinger.cli.main import main

PROJECT = Path(__file__).resolve().parents[2]
SAMPLES = PROJECT / "samples"
ENSEMBLE = tuple(
    path.relative_to(SAMPLES).as_posix()
    for folder in ("Parts", "Scores")
    for path in sorted((SAMPLES / folder).glob("*.ly"))
)
TEACHING = tuple(path.relative_to(SAMPLES).as_posix() for path in sorted((SAMPLES / "Teaching").glob("*.ly")))
READING = tuple(sorted((PROJECT / "tests" / "fixtures" / "reading").glob("*.ly")))


@dataclass(frozen=True)
class Result:
    """Exit status and both streams."""

    status: int
    out: bytes
    err: str


@contextlib.contextmanager
def standing_in(folder: Path) -> Iterator[None]:
    """The working directory is ``folder`` for a while."""
    before = Path.cwd()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)


def lyfinger(*arguments: str | Path, folder: Path | None = None, stdin: bytes = b"") -> Result:
    """Run one command line in ``folder`` (default: the working directory). Whatever it raises comes through."""
    out, err = io.TextIOWrapper(io.BytesIO(), encoding="utf-8"), io.StringIO()
    fed = io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8")
    before = sys.stdin
    sys.stdin = fed
    try:
        with standing_in(folder or Path.cwd()), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = main([str(argument) for argument in arguments])
    finally:
        sys.stdin = before
    out.flush()
    assert isinstance(out.buffer, io.BytesIO)
    return Result(int(status), out.buffer.getvalue(), err.getvalue())


def marked(source: str | bytes, *options: str, name: str = "test.ly", folder: Path | None = None) -> bytes:
    """What ``lyfinger mark -`` makes of a source; it must be done with status 0."""
    data = source.encode() if isinstance(source, str) else source
    result = lyfinger("mark", "-", "--stdin-filename", name, *options, stdin=data, folder=folder)
    assert result.status == 0, result.err
    return result.out


def notes_of(path: str | Path, *options: str, folder: Path | None = None, stdin: bytes = b"") -> list[dict[str, Any]]:
    """The notes that ``lyfinger notes`` lists."""
    result = lyfinger("notes", path, "--format", "json", *options, folder=folder, stdin=stdin)
    assert result.status == 0, result.err
    found: list[dict[str, Any]] = json.loads(result.out)["notes"]
    return found


def notes_in(source: str, *options: str) -> list[dict[str, Any]]:
    """The notes of a source text."""
    return notes_of("-", "--stdin-filename", "test.ly", *options, stdin=source.encode())


def mark_samples(source: Path, target: Path, roots: Sequence[str] = (*ENSEMBLE, *TEACHING)) -> None:
    """Mark the sample repository at ``source`` into ``target`` as its Makefile does: one run for each shelf."""
    for shelf in (ENSEMBLE, TEACHING):
        chosen = [name for name in shelf if name in roots]
        if chosen:
            result = lyfinger("mark", *chosen, "--root", ".", "--output-dir", target, folder=source)
            assert result.status == 0, result.err
