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
PART, LESSON = Path("Parts", "lantern-walk.ly"), Path("Teaching", "stepping-stones.ly")
STYLES = {
    "clearest": (PART, 3, ("--chords", "behind", "--outside")),
    "placings": (PART, 1, ("--density", "placings")),
    "needed": (PART, 1, ("--density", "needed")),
    "left": (PART, 1, ("--chords", "left")),
    "brackets": (PART, 1, ("--density", "placings", "--brackets")),
    "slides": (LESSON, 1, ("--density", "needed", "--slides")),
    "crossings": (PART, 2, ("--crossings",)),
    "hands": (LESSON, 2, ("--hand-signs",)),
}


def engraved(folder: Path, sample: Path, number: int, options: tuple[str, ...]) -> Path:
    """A page of a sample in a style."""
    command = [sys.executable, "-m", "lyfinger", "mark", str(sample), "--root", ".", *options]
    command += ["--output-dir", str(folder)]
    subprocess.run(command, cwd=PROJECT / "samples", check=True)
    output = ["-dno-point-and-click", "-dbackend=cairo", "--png", "-dresolution=80", "-o", str(folder / "page")]
    subprocess.run([executable(), "--loglevel=WARNING", *output, str(folder / sample)], cwd=folder, check=True)
    return folder / f"page-page{number}.png"


def main() -> None:
    """Write the pictures."""
    for name, style in STYLES.items():
        with tempfile.TemporaryDirectory() as folder:
            shutil.copyfile(engraved(Path(folder), *style), PAGES / f"style-{name}.png")


if __name__ == "__main__":
    main()
