"""What ``lyfinger`` takes, beside what it can't be quicker than and what comes after it.

    python -m tests.bench                  a part of 2,600 notes, made up for this
    python -m tests.bench FILE...          these files
    python -m tests.bench --notes 8000     a longer part; --times N for the best of N runs
    python -m tests.bench --growth         also parts of 1, 8 and 25 times 2,000 notes
    python -m tests.bench --many           also 40 short files and 8 long ones, --jobs 1 and 2

Run by hand; nothing is asserted. The floor is what any tool on python-ly has to pay: a process that starts the
interpreter, loads python-ly, and has it cut the text into tokens.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from .measure import LEX_ALONE, Command, Process, inside, processes, stages
from .music import part

MANY = {40: 200, 8: 1000}
"""How many files, and the notes of each."""
GROWTH = (2_000, 16_000, 50_000)


def build_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m tests.bench", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE")
    parser.add_argument("--notes", type=int, default=2600, metavar="N", help="the length of the made-up part")
    parser.add_argument("--times", type=int, default=7, metavar="N", help="each is run N times; the best counts")
    parser.add_argument("--growth", action="store_true", help="how time and memory grow with the notes")
    parser.add_argument("--many", action="store_true", help="also many files, in one process and in two")
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    return parser


def ours(*arguments: str | Path) -> Command:
    """A command line of lyfinger, started as the installed script starts it."""
    return [sys.executable, "-c", "from lyfinger.cli.main import process; process()", *arguments]


def table(path: Path, times: int, scratch: Path) -> str:
    """Everything that is measured for one file, a row for each thing."""
    from tests.referee.engraver import executable

    one, marked = scratch / "one.ly", scratch / "marked.ly"
    one.write_text("{ c'4 }\n", encoding="utf-8")
    commands: dict[str, Command] = {
        "bare": [sys.executable, "-c", "pass"],
        "floor": [sys.executable, "-c", LEX_ALONE, path],
        "version": ours("--version"),
        "help": ours("mark", "--help"),
        "one": ours("mark", one, "-o", marked),
        "mark": ours("mark", path, "-o", marked),
        "notes": ours("notes", path),
        "check": ours("check", path),
    }
    found = processes(commands, times)
    engraver: Command = [executable(), "--loglevel=ERROR", "-o", scratch / "page", path]
    typeset = processes({"typeset": engraver}, max(1, times // 3))["typeset"]
    inner = stages(path, times)
    lines = [f"{path.name}: {inner.notes:,} notes printed, {inner.digits:,} digits put in (best of {times})"]
    lines += _ratios(found, typeset, inner.notes)
    lines += ["", "  where the time of mark goes, stage by stage"]
    lines += [f"    {name:<52}{1000 * seconds:8.1f} ms" for name, seconds in inner.seconds.items()]
    return "\n".join(lines)


def _ratios(found: dict[str, Process], typeset: Process, notes: int) -> Iterator[str]:
    bare, floor = found["bare"], found["floor"]

    def row(what: str, process: Process, ratio: str = "") -> str:
        return f"  {what:<48}{1000 * process.seconds:9.1f} ms{process.peak / 1e6:8.1f} MB   {ratio}".rstrip()

    yield row("a bare interpreter", bare)
    yield row("the floor: interpreter, python-ly, its tokens", floor)
    yield row("typesetting the unmarked file", typeset)
    yield row("lyfinger --version", found["version"], f"{found['version'].seconds / bare.seconds:.2f} x bare")
    yield row("lyfinger mark --help", found["help"], f"{found['help'].seconds / bare.seconds:.2f} x bare")
    yield row("lyfinger mark, one single note", found["one"], f"{found['one'].seconds / floor.seconds:.2f} x floor")
    for name in ("mark", "notes", "check"):
        now = found[name]
        ratio = f"{now.seconds / floor.seconds:.2f} x floor, {now.seconds / typeset.seconds:.3f} x typesetting"
        yield row(f"lyfinger {name}", now, f"{ratio}, {(now.peak - bare.peak) / notes / 1000:.1f} kB/note above bare")


def growth(times: int, scratch: Path) -> str:
    """How time and memory grow from the shortest part on, beside what would be linear."""
    commands: dict[str, Command] = {}
    for notes in (1, *GROWTH):
        path = scratch / f"grown-{notes}.ly"
        path.write_text(part(notes), encoding="utf-8")
        commands[str(notes)] = ours("mark", path, "-o", scratch / "marked.ly")
    found = processes(commands, times)
    least, first = found["1"], found[str(GROWTH[0])]
    lines = ["growth of mark (above what a part of one bar takes)"]
    for notes in GROWTH:
        now = found[str(notes)]
        linear = (now.seconds - least.seconds) / (first.seconds - least.seconds) / (notes / GROWTH[0])
        kilobytes = (now.peak - least.peak) / notes / 1000
        each = 1e6 * (now.seconds - least.seconds) / notes
        lines.append(
            f"  {notes:>7,} notes{1000 * now.seconds:10.0f} ms{each:8.0f} us/note"
            f"   {linear:.3f} x linear{now.peak / 1e6:8.1f} MB{kilobytes:7.2f} kB/note"
        )
    return "\n".join(lines)


def many(times: int, scratch: Path) -> str:
    """How long parts take that have no bar in common, in one process and in two."""
    lines = [f"mark, many files (the clock counts, on {os.cpu_count()} processors, which must be idle)"]
    for count, notes in MANY.items():
        folder = scratch / f"many-{count}"
        folder.mkdir()
        files = [folder / f"part-{number}.ly" for number in range(count)]
        for number, path in enumerate(files):
            path.write_text(part(notes, f"many {number}"), encoding="utf-8")
        target: Command = ["--output-dir", scratch / f"out-{count}", "--root", folder]
        found = processes({jobs: ours("mark", *files, *target, "--jobs", jobs) for jobs in ("1", "2")}, times)
        lines.append(f"  {count} files of {notes:,} notes")
        for jobs, now in found.items():
            gain = f"{found['1'].elapsed / now.elapsed:.2f} x as fast as one"
            times_taken = f"{1000 * now.elapsed:10.0f} ms, processor {1000 * now.seconds:.0f} ms"
            lines.append(f"    --jobs {jobs}{times_taken}   {gain}")
    return "\n".join(lines)


def main(arguments: Sequence[str] | None = None) -> int:
    options = build_parser().parse_args(arguments)
    if options.inside:
        print(inside(options.files[0]))
        return 0
    with tempfile.TemporaryDirectory() as folder:
        scratch = Path(folder)
        files = options.files
        if not files:
            files = [scratch / f"made-up-{options.notes}.ly"]
            files[0].write_text(part(options.notes), encoding="utf-8")
        for path in files:
            print(table(path, options.times, scratch), flush=True)
        if options.many:
            print(many(max(1, options.times // 3), scratch), flush=True)
        if options.growth:
            print(growth(max(1, options.times // 3), scratch), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
