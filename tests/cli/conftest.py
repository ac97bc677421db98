"""A small score repository, and the command line run in it as a user does."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

PROJECT = Path(__file__).parent.parent.parent

NOTES = b"""\
rightHand = { c'4 d' e' f' }
leftHand = { c4 e g c' }
"""
PART = b"""\
\\version "2.24.0"
\\include "../notes/tune.ily"
\\score { \\new PianoStaff << \\new Staff = "RH" \\rightHand \\new Staff = "LH" \\leftHand >> \\layout { } }
"""
SCORE = b"""\
\\version "2.24.0"
\\include "../notes/tune.ily"
\\score {
  << \\new Staff \\with { instrumentName = "Flute" } { g''1 }
     \\new PianoStaff << \\new Staff = "RH" \\rightHand \\new Staff = "LH" \\leftHand >> >>
  \\layout { }
}
"""
SINGLE = b"""\
\\version "2.24.0"
\\new Staff = "RH" { c'4 d' e' f'-1 }
"""
SINGLE_MARKED = b"""\
\\version "2.24.0"
\\new Staff = "RH" { c'4^4 d'^3 e'^2 f'-1 }
"""
NOTES_MARKED = b"""\
rightHand = { c'4^4 d'^3 e'^2 f'^1 }
leftHand = { c4_4 e_3 g_2 c'_1 }
"""


@dataclass(frozen=True)
class Result:
    """What a command line did: its exit status and both streams."""

    status: int
    out: bytes
    err: bytes

    @property
    def lines(self) -> list[str]:
        """The lines of standard error."""
        return self.err.decode("utf-8").splitlines()


Run = Callable[..., Result]


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    """Parts, scores and shared notes, and a file by itself."""
    files = {"parts/harp.ly": PART, "scores/full.ly": SCORE, "notes/tune.ily": NOTES, "single.ly": SINGLE}
    for name, data in files.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(data)
    return tmp_path


@pytest.fixture
def run(repository: Path) -> Run:
    """``run("mark", "single.ly", stdin=b"...")`` runs lyfinger in the repository, in a process of its own."""

    def run_process(*arguments: str | bytes, stdin: bytes = b"", folder: str = ".") -> Result:
        done = subprocess.run(
            [sys.executable, "-m", "lyfinger", *arguments],
            cwd=repository / folder,
            env={**os.environ, "PYTHONPATH": str(PROJECT), "PYTHONDONTWRITEBYTECODE": "1"},
            input=stdin,
            capture_output=True,
            timeout=120,
        )
        return Result(done.returncode, done.stdout, done.stderr)

    return run_process


def snapshot(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, with its bytes; the records of earlier runs left out."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".lyfinger" not in path.parts
    }
