"""The typesetter: where it is, and how it is run.

Engraving runs the Scheme code of a score, as it does whenever the score is engraved; lyfinger itself runs none.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import time
from collections.abc import Callable, Sequence
from enum import Enum
from importlib import import_module
from pathlib import Path

from ..source.messages import Refused

MISSING = (
    "proof: no LilyPond is found, and the music is engraved by it: install it with pip install lilypond, or from "
    "lilypond.org, or name the program with --lilypond"
)
_LOOK = 0.2
"""Seconds after which the typesetter is looked at again."""

_NAMING = """\
#(define lyfinger-books 10000)
#(define (toplevel-book-handler book)
  (set! lyfinger-books (1+ lyfinger-books))
  (ly:book-process book (ly:parser-lookup '$defaultpaper) (ly:parser-lookup '$defaultlayout)
   (format #f "~a-~a" (ly:parser-output-name) lyfinger-books)))
"""
"""Names the output of each book by its number, so that no page is called as another one: by itself the typesetter calls
the second page of a first book, and a second book of one page, by one name."""


class Route(Enum):
    """How pages come about: options of the typesetter.

    Cairo gives a picture of lines and one PDF quickly. An engraver that was built without it (Debian's 2.24.1) goes by
    PostScript, and its pictures are made of dots, 180 an inch.
    """

    CAIRO = ("-dbackend=cairo", "--svg")
    POSTSCRIPT = ("--png", "-dresolution=180")


def find_typesetter(named: str | None = None) -> str:
    """The program to run: the one that is named, else that of the Python package ``lilypond``, else the one on PATH.

    Raises Refused if there is none.
    """
    if named is not None:
        found = shutil.which(named)
        if found is None:
            raise Refused(f"proof: {named} is no program that can be run")
        return os.path.abspath(found)
    found = _of_the_package() or shutil.which("lilypond")
    if found is None:
        raise Refused(MISSING)
    return os.path.abspath(found)


def _of_the_package() -> str | None:
    try:
        program = Path(str(import_module("lilypond").executable()))
    except (ImportError, AttributeError, OSError):
        return None
    return str(program) if os.access(program, os.X_OK) else None


class Typesetter:
    """One run of the typesetter, in a process group of its own, so that it ends with all that it has started."""

    def __init__(self, program: str, route: Route, source: Path, output: Path, folders: Sequence[Path]) -> None:
        """Start engraving ``source`` as pictures and PDF with links for notes and fingerings.

        ``output`` and suffixes name what it writes, ``folders`` are looked through for included files. Raises Refused
        if the program can't be started.
        """
        naming = output.with_suffix(".ily")
        naming.write_text(_NAMING)
        command = [
            program,
            "--loglevel=ERROR",
            *route.value,
            "--pdf",
            "-dpoint-and-click=(note-event fingering-event)",
            f"-dinclude-settings={naming.as_posix()}",
            *(f"--include={folder}" for folder in folders),
            "-o",
            str(output),
            str(source),
        ]
        self._log = output.with_suffix(".log")
        self._begin = time.monotonic()
        try:
            with self._log.open("wb") as log:
                self._process = subprocess.Popen(
                    command,
                    stdin=subprocess.DEVNULL,
                    stdout=log,
                    stderr=log,
                    cwd=output.parent,
                    start_new_session=True,
                )
        except OSError as error:
            raise Refused(f"proof: can't run {program}: {error.strerror or error}") from error

    @property
    def failed(self) -> bool:
        """Whether it has ended with an error."""
        return bool(self._process.poll())

    @property
    def said(self) -> str:
        """All that it has said so far."""
        return self._log.read_text("utf-8", "surrogateescape")

    def wait(self, limit: float, seen: Callable[[float], None]) -> bool:
        """Wait for its end, ``limit`` seconds from its start at most (0: for ever); whether it came by itself.

        ``seen`` is told now and then how many seconds it has been at work.
        """
        while True:
            try:
                self._process.wait(_LOOK)
                return True
            except subprocess.TimeoutExpired:
                passed = time.monotonic() - self._begin
                if 0 < limit < passed:
                    self.end()
                    return False
                seen(passed)

    def end(self) -> None:
        """End it, if it is still at work, and whatever it has started."""
        if self._process.poll() is not None:
            return
        with contextlib.suppress(ProcessLookupError):
            if hasattr(os, "killpg"):
                os.killpg(self._process.pid, signal.SIGKILL)
            else:
                self._process.kill()
        self._process.wait()
