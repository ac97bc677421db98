"""How far long work has come: one line on standard error, drawn over itself, and only on a terminal."""

from __future__ import annotations

import contextlib
import sys
from types import TracebackType

_WIDTH = 30


class Progress:
    """A line that is gone when the work is done. To be used with ``with``; silent where nobody watches."""

    def __init__(self) -> None:
        self._stream = sys.stderr if sys.stderr is not None and sys.stderr.isatty() else None
        self._drawn = ""

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._draw("")

    def show(self, what: str, done: int, whole: int) -> None:
        """So much of the whole is done (any unit)."""
        percent = 100 * done // max(whole, 1)
        filled = _WIDTH * percent // 100
        self._draw(f"{what} [{'#' * filled}{'.' * (_WIDTH - filled)}] {percent}%")

    def busy(self, what: str, seconds: float = 0) -> None:
        """Work of which nobody knows how far it has come, only how long it has taken."""
        self._draw(f"{what}, {seconds:.0f} s" if seconds >= 1 else what)

    def _draw(self, line: str) -> None:
        """Blanks over what stood there, then the line: a console of Windows may know no control sequences."""
        if self._stream is not None and line != self._drawn:
            with contextlib.suppress(OSError, ValueError):
                self._stream.write(f"\r{' ' * len(self._drawn)}\r{line}")
                self._stream.flush()
            self._drawn = line
