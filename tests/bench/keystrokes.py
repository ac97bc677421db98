"""How long an editor waits: from a keystroke to the findings, and for a hover and the list of actions, over stdio.

    python -m tests.bench.keystrokes [FILE]

Without a file, a part of 2,000 notes made up for this. A keystroke's time has the quiet wait of the server taken off.
"""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Awaitable
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

from lyfinger.editor.server import QUIET

from ..editor.conftest import Editor
from .music import part

TIMES = 9


async def scene(folder: Path, text: str) -> None:
    """Open a text, type into a note in its middle, ask there, and print the times (median of nine, in milliseconds)."""
    (folder / "part.ly").write_text(text, "utf-8")
    editor = Editor(folder)
    await editor.start()
    try:
        opened, _ = await _timed(editor.open("part.ly"))
        typed, hovered, listed = [], [], []
        lines = text.split("\n")
        row = next(number for number in range(len(lines) // 3, len(lines)) if "'" in lines[number])
        for number in range(TIMES):
            changed = "\n".join([*lines[:row], lines[row] + f"  % {number}", *lines[row + 1 :]])
            typed.append((await _timed(editor.change("part.ly", changed)))[0] - QUIET)
            place = lines[row].index("'")
            hovered.append((await _timed(editor.hover("part.ly", row, place)))[0])
            listed.append((await _timed(editor.actions("part.ly", (row, place))))[0])
        print(f"open {1000 * opened:.0f}   findings after a keystroke {1000 * median(typed):.0f}", end="   ")
        print(f"hover {1000 * median(hovered):.0f}   actions {1000 * median(listed):.0f}   (ms)")
    finally:
        await editor.stop()


async def _timed(work: Awaitable[Any]) -> tuple[float, Any]:
    start = perf_counter()
    result = await work
    return perf_counter() - start, result


def main() -> int:
    """Run the scene with the file named on the command line, or a made-up part."""
    text = Path(sys.argv[1]).read_text("utf-8") if len(sys.argv) > 1 else part(2000)
    with TemporaryDirectory() as folder:
        asyncio.run(scene(Path(folder), text))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
