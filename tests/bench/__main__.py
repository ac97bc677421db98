"""How long ``lyfinger mark`` takes, beside what it can't be quicker than and what comes after it.

    python -m tests.bench                  a part of 2,000 notes, made up for this
    python -m tests.bench FILE...          these files
    python -m tests.bench --notes 8000     a longer part; --times N for the best of N runs

Run by hand, on a quiet machine; nothing is asserted. The floor is what any tool on python-ly has to pay: starting
the interpreter and having python-ly cut the text into tokens.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from .measure import KIB, inside, process, stages
from .music import part


def build_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m tests.bench", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE")
    parser.add_argument("--notes", type=int, default=2000, metavar="N", help="the length of the made-up part")
    parser.add_argument("--times", type=int, default=5, metavar="N", help="each is run N times; the best counts")
    parser.add_argument("--inside", type=int, metavar="N", help=argparse.SUPPRESS)
    return parser


def table(path: Path, times: int, scratch: Path) -> str:
    """Everything that is measured for one file, a row for each thing."""
    from tests.referee.engraver import executable

    python = sys.executable
    start = process([python, "-c", "pass"], times)
    mark = process([python, "-m", "lyfinger", "mark", path, "-o", scratch / "marked.ly"], times)
    (scratch / "one.ly").write_text("{ c'4 }\n", encoding="utf-8")
    least = process([python, "-m", "lyfinger", "mark", scratch / "one.ly", "-o", scratch / "marked.ly"], times)
    typeset = process([executable(), "--loglevel=ERROR", "-o", scratch / "page", path], max(1, times // 2))
    inner = stages(path, times)
    floor = start.seconds + inner.lex_library
    seconds = [
        ("lyfinger mark, the whole process", mark.seconds),
        ("  lyfinger mark of one single note, the whole process", least.seconds),
        ("  interpreter start", start.seconds),
        ("  lexing alone, python-ly's LilyPond lexer", inner.lex_library),
        ("  lexing alone, the flat lexer of lyfinger", inner.lex_flat),
        ("  reading alone (lexing, parsing, interpreting)", inner.read),
        ("  search alone", inner.search),
        ("typesetting the unmarked file, the whole process", typeset.seconds),
    ]
    kilobytes = (mark.peak - start.peak) * KIB / 1000
    figures = [
        ("mark / floor (interpreter start + python-ly's lexing)", f"{mark.seconds / floor:8.2f}"),
        ("mark / python-ly's lexing alone", f"{mark.seconds / inner.lex_library:8.2f}"),
        ("mark / typesetting", f"{mark.seconds / typeset.seconds:8.3f}"),
        ("peak memory of mark", f"{mark.peak * KIB / 1e6:8.1f} MB"),
        ("peak memory of the bare interpreter", f"{start.peak * KIB / 1e6:8.1f} MB"),
        ("memory above the bare interpreter, a note", f"{kilobytes / max(1, inner.notes):8.1f} kB"),
        ("peak memory of the typesetter", f"{typeset.peak * KIB / 1e6:8.1f} MB"),
    ]
    lines = [f"{path.name}: {inner.notes:,} notes printed, {inner.digits:,} digits put in (best of {times})"]
    lines += [f"  {what:<55}{value:8.3f} s" for what, value in seconds]
    lines += [f"  {what:<55}{value}" for what, value in figures]
    return "\n".join(lines)


def main(arguments: Sequence[str] | None = None) -> int:
    options = build_parser().parse_args(arguments)
    if options.inside:
        print(inside(options.files[0], options.inside))
        return 0
    with tempfile.TemporaryDirectory() as folder:
        scratch = Path(folder)
        files = options.files
        if not files:
            files = [scratch / f"made-up-{options.notes}.ly"]
            files[0].write_text(part(options.notes), encoding="utf-8")
        for path in files:
            print(table(path, options.times, scratch), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
