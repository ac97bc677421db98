"""How far long work has come: one line on standard error, drawn over itself, and only on a terminal."""

from __future__ import annotations

import contextlib
import sys
from types import TracebackType

_WIDTH = 30


class Progress:
    """A bar that is gone when the work is done. To be used with ``with``; silent where nobody watches."""

    def __init__(self, what: str) -> None:
        self._what = what
        self._stream = sys.stderr if sys.stderr is not None and sys.stderr.isatty() else None
        self._drawn = -1
        self._width = 0

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._write("")

    def show(self, done: int, whole: int, what: str | None = None) -> None:
        """So much of the whole is done (any unit); ``what`` is a new name for the work."""
        percent = 100 * done // max(whole, 1)
        if percent != self._drawn or what != self._what:
            self._what = what or self._what
            self._drawn = percent
            filled = _WIDTH * percent // 100
            self._write(f"{self._what} [{'#' * filled}{'.' * (_WIDTH - filled)}] {percent}%")

    def _write(self, text: str) -> None:
        """Blanks over what stood there, then the text: a console of Windows may know no control sequences."""
        if self._stream is not None:
            with contextlib.suppress(OSError, ValueError):
                self._stream.write(f"\r{' ' * self._width}\r{text}")
                self._stream.flush()
            self._width = len(text)
