"""The typesetter: where it is, and how it is run.

Engraving runs the Scheme code of a score, as it does whenever the score is engraved; lyfinger itself runs none.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path

from ..source.messages import Refused

MISSING = (
    "proof: no LilyPond is found, and the music is engraved by it: install it with pip install lilypond, or from "
    "lilypond.org, or name the program with --lilypond"
)


def find_typesetter(named: str | None = None) -> str:
    """The program to run: the one that is named, else that of the Python package ``lilypond``, else the one on PATH.

    Raises Refused if there is none.
    """
    if named is not None:
        found = shutil.which(named)
        if found is None:
            raise Refused(f"proof: {named} is no program that can be run")
        return found
    found = _of_the_package() or shutil.which("lilypond")
    if found is None:
        raise Refused(MISSING)
    return found


def _of_the_package() -> str | None:
    try:
        program = Path(str(import_module("lilypond").executable()))
    except (ImportError, AttributeError, OSError):
        return None
    return str(program) if os.access(program, os.X_OK) else None


def start(program: str, source: Path, output: Path, folders: Sequence[Path]) -> subprocess.Popen[bytes]:
    """Start engraving ``source`` as SVG and PDF with links for notes and fingerings, named ``output`` and a suffix.

    ``folders`` are looked through for included files. Its messages go to ``output`` with the suffix ``.log``. Raises
    Refused if the program can't be started.
    """
    command = [
        program,
        "--loglevel=ERROR",
        "-dbackend=cairo",
        "--pdf",
        "--svg",
        "-dpoint-and-click=(note-event fingering-event)",
        *(f"--include={folder}" for folder in folders),
        "-o",
        str(output),
        str(source),
    ]
    try:
        with output.with_suffix(".log").open("wb") as log:
            return subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=log, stderr=log, cwd=output.parent)
    except OSError as error:
        raise Refused(f"proof: can't run {program}: {error.strerror or error}") from error
