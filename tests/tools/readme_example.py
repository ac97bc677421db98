"""Writes README.md's marked example anew, and its picture, from what lyfinger makes of the sample today.

    python -m tests.tools.readme_example

The lines of the first example block stand in the sample; the second block is what ``lyfinger mark`` makes of them.
Look at the picture before you commit it.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.referee.engraver import executable

PROJECT = Path(__file__).resolve().parents[2]
README = PROJECT / "README.md"
PICTURE = PROJECT / "samples" / "pages" / "lantern-walk.png"
SAMPLE = Path("Parts", "lantern-walk.ly")
EXAMPLE = re.compile(r"(?<=^```lilypond\n).*?(?=^```$)", re.MULTILINE | re.DOTALL)
FIRST_BARS = '\\version "2.24.0" showFirstLength = R1*8 \\include "%s"\n'


def marked_tree(folder: Path) -> Path:
    """The marked sample, in a tree that engraves by itself."""
    command = [sys.executable, "-m", "lyfinger", "mark", str(SAMPLE), "--output-dir", str(folder)]
    subprocess.run(command, cwd=PROJECT / "samples", check=True)
    return folder / SAMPLE


def with_example(readme: str, source: str, marked: str) -> str:
    """README's text with the second example block made from the first. Raises ValueError if a line is not there."""
    before, after = list(EXAMPLE.finditer(readme))[:2]
    old, new = ([line.strip() for line in text.splitlines()] for text in (source, marked))
    wanted = before.group().splitlines()
    start = old.index(wanted[0])
    lines = [new[old.index(line, start)] for line in wanted]
    return readme[: after.start()] + "".join(f"{line}\n" for line in lines) + readme[after.end() :]


def main() -> None:
    """Rewrite the example and the picture in place."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        marked = marked_tree(folder)
        source = (PROJECT / "samples" / SAMPLE).read_text(encoding="utf-8")
        text = with_example(README.read_text(encoding="utf-8"), source, marked.read_text(encoding="utf-8"))
        README.write_text(text, encoding="utf-8")
        (folder / "opening.ly").write_text(FIRST_BARS % SAMPLE.as_posix(), encoding="utf-8")
        options = ["--loglevel=ERROR", "-dno-point-and-click", "-dcrop", "--png", "-dresolution=110"]
        subprocess.run([executable(), *options, "opening.ly"], cwd=folder, check=True)
        shutil.copyfile(folder / "opening.cropped.png", PICTURE)


if __name__ == "__main__":
    main()
