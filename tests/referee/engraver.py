"""The typesetter that the tests are refereed by: where it is, and how it is run."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import import_module
from pathlib import Path


class RefereeError(Exception):
    """The typesetter could not give a ruling: it crashed, timed out, or wrote nothing that can be read."""


@cache
def executable() -> Path:
    """The engraver of the PyPI package ``lilypond``."""
    return Path(str(import_module("lilypond").executable()))


@cache
def version() -> str:
    """The engraver's version, as ``2.25.12``."""
    text = subprocess.run([executable(), "--version"], capture_output=True, check=True, text=True).stdout
    return text.split("\n", 1)[0].split()[2]


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
