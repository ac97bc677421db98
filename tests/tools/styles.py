"""Engraves the page in every style anew, from what lyfinger makes of the sample today: ``samples/pages/style-*.png``.

    python -m tests.tools.styles

Look at the pictures before you commit them.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.referee.engraver import executable

PROJECT = Path(__file__).resolve().parents[2]
PAGES = PROJECT / "samples" / "pages"
SAMPLE = Path("Parts", "lantern-walk.ly")
STYLES = {
    "placings": ("--density", "placings"),
    "needed": ("--density", "needed"),
    "left": ("--chords", "left"),
    "brackets": ("--density", "placings", "--brackets"),
}


def engraved(folder: Path, options: tuple[str, ...]) -> Path:
    """The first page of the sample in a style."""
    command = [sys.executable, "-m", "lyfinger", "mark", str(SAMPLE), *options, "--output-dir", str(folder)]
    subprocess.run(command, cwd=PROJECT / "samples", check=True)
    output = ["-dno-point-and-click", "-dbackend=cairo", "--png", "-dresolution=80", "-o", str(folder / "page")]
    subprocess.run([executable(), "--loglevel=WARNING", *output, str(folder / SAMPLE)], cwd=folder, check=True)
    return folder / "page-page1.png"


def main() -> None:
    """Write the pictures."""
    for name, options in STYLES.items():
        with tempfile.TemporaryDirectory() as folder:
            shutil.copyfile(engraved(Path(folder), options), PAGES / f"style-{name}.png")


if __name__ == "__main__":
    main()
