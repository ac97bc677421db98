"""The typesetter that the tests are refereed by: where it is, and how it is run.

That is the pinned one of the PyPI package ``lilypond``, unless ``LYFINGER_LILYPOND`` names another program.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import import_module
from pathlib import Path


class RefereeError(Exception):
    """The typesetter could not give a ruling: it crashed, timed out, or wrote nothing that can be read."""


@cache
def pinned() -> Path:
    """The engraver of the PyPI package ``lilypond``: the one that the files in ``grammar/`` are written by."""
    return Path(str(import_module("lilypond").executable()))


@cache
def executable() -> Path:
    """The engraver that rules. Raises RefereeError where ``LYFINGER_LILYPOND`` names no program."""
    named = os.environ.get("LYFINGER_LILYPOND")
    if not named:
        return pinned()
    found = shutil.which(named)
    if found is None:
        raise RefereeError(f"LYFINGER_LILYPOND: {named} is no program that can be run")
    return Path(found).resolve()


@cache
def version(program: Path | None = None) -> str:
    """The version of an engraver (of the one that rules, if none is named), as ``2.25.12``."""
    command: list[str | Path] = [program or executable(), "--version"]
    text = subprocess.run(command, capture_output=True, check=True, text=True).stdout
    return text.split("\n", 1)[0].split()[2]


@cache
def own_files(program: Path | None = None) -> Path:
    """The folder of an engraver's own files: ``ly/``, ``scm/`` and others."""
    return (program or executable()).parents[1] / "share" / "lilypond" / version(program)


def run(
    arguments: Sequence[str | Path],
    *,
    folder: Path,
    environment: Mapping[str, str] | None = None,
    timeout: float = 120,
    program: Path | None = None,
) -> subprocess.CompletedProcess[str]:
    """Run the typesetter in ``folder`` (its output goes there). Its exit status is left to the caller.

    Raises RefereeError after ``timeout`` seconds.
    """
    command = [str(program or executable()), *map(str, arguments)]
    try:
        return subprocess.run(
            command,
            cwd=folder,
            env={**os.environ, **(environment or {})},
            capture_output=True,
            text=True,
            errors="replace",
            timeout=timeout,
            stdin=subprocess.DEVNULL,
        )
    except subprocess.TimeoutExpired as error:
        raise RefereeError(f"the typesetter took more than {timeout:g} s") from error


def reported(
    path: Path, settings: Path, variable: str, include_dirs: Sequence[Path], *, folder: Path, timeout: float
) -> tuple[subprocess.CompletedProcess[str], list[str]]:
    """Lay a file out, with no pages printed: how the typesetter ended, and the lines that an engraver of ours wrote.

    ``settings`` is the file with that engraver, which writes to the file that ``variable`` names to it, in ``folder``.
    """
    out = folder / "reported.jsonl"
    log = run(
        [
            "--loglevel=ERROR",
            "-dno-print-pages",
            f"-dinclude-settings={settings}",
            *(f"-I{include.resolve()}" for include in include_dirs),
            path.resolve(),
        ],
        folder=folder,
        environment={variable: str(out)},
        timeout=timeout,
    )
    return log, out.read_text("utf-8", "surrogateescape").splitlines() if out.exists() else []
