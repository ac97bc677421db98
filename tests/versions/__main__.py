"""Run the tests under other versions of what lyfinger stands on, and print what came of it.

    python -m tests.versions                             each python3.X on PATH, lowest and newest libraries
    python -m tests.versions python3.13 /opt/py/bin/python3      these
    python -m tests.versions --libraries lowest --quick  reading, marking and the referee's word on them alone
    python -m tests.versions --lilypond lilypond         this Python, another engraver as the referee

Each Python gets environments of its own, in a temporary folder or, to be used again, below ``--keep FOLDER``. What
follows ``--`` goes to pytest in place of the usual tests. A row for each run; exit status 1 if any failed.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from .lowest import PROJECT, constraints

QUICK = ("tests/reading", "tests/marking", "tests/referee/test_reading_agrees.py")
BY_THE_REFEREE = (
    "tests/referee",
    "tests/score",
    "tests/marking",
    "tests/whole/test_engraved_samples.py",
    "tests/pedals/test_writing.py",
    "tests/proofing",
)
"""The tests in which an engraver has the last word."""

_ABOUT = """
import importlib.metadata as m, json, sys
names = ("lark", "python-ly")
print(json.dumps([sys.version.split()[0], *(f"{name} {m.version(name)}" for name in names)]))
"""


@dataclass(frozen=True, slots=True)
class Run:
    """One run of the tests: what it stood on, what pytest said last, and the seconds that it took."""

    about: str
    passed: bool
    said: str
    seconds: float

    def __str__(self) -> str:
        return f"{'ok' if self.passed else 'FAILED':<8}{self.about:<56}{self.seconds:6.0f} s   {self.said}"


def pythons() -> Iterator[str]:
    """Each Python on PATH that lyfinger supports, once, the oldest first."""
    for minor in range(11, 100):
        found = shutil.which(f"python3.{minor}")
        if found and subprocess.run([found, "-V"], capture_output=True, check=False).returncode == 0:
            yield found


def environment(python: str, libraries: str, folder: Path) -> Path:
    """Make an environment with lyfinger and what its tests need; returns its interpreter.

    Raises CalledProcessError if pip can't install it.
    """
    inside = folder / ("Scripts" if os.name == "nt" else "bin") / "python"
    subprocess.run([python, "-m", "venv", folder], check=True)
    limits = folder / "constraints.txt"
    limits.write_text(constraints() if libraries == "lowest" else "", encoding="utf-8")
    install = ["-m", "pip", "install", "-q", "--upgrade", "--constraint", limits, "-e", f"{PROJECT}[test]"]
    subprocess.run([str(inside), *map(str, install)], check=True, stdout=sys.stderr)
    return inside


def run_tests(python: Path | str, tests: Sequence[str], engraver: str | None = None) -> Run:
    """Run pytest in the project and tell what came of it; what it prints goes to standard error."""
    about = json.loads(subprocess.run([python, "-c", _ABOUT], capture_output=True, check=True, text=True).stdout)
    started = time.monotonic()
    variables = {**os.environ, "PYTHONPATH": str(PROJECT), **({"LYFINGER_LILYPOND": engraver} if engraver else {})}
    lines: list[str] = []
    command = [
        python,
        "-m",
        "pytest",
        "-o",
        "addopts=",
        "--doctest-modules",
        "-p",
        "no:cacheprovider",
        "--tb=short",
        "-q",
    ]
    with subprocess.Popen(
        [*command, *tests], cwd=PROJECT, env=variables, stdout=subprocess.PIPE, text=True, errors="replace"
    ) as process:
        assert process.stdout is not None
        for line in process.stdout:
            lines.append(line)
            sys.stderr.write(line)
    said = next((line.strip("= \n") for line in reversed(lines) if line.strip()), "nothing was said")
    what = ", ".join(["Python " + about[0], *about[1:], *([f"LilyPond: {engraver}"] if engraver else [])])
    return Run(what, process.returncode == 0, said, time.monotonic() - started)


def failed(what: str, error: Exception) -> Run:
    """A run that did not come to its tests."""
    return Run(what, False, str(error), 0)


def runs(options: argparse.Namespace, scratch: Path) -> Iterator[Run]:
    """Each run that was asked for, as it ends."""
    chosen = options.tests
    if options.lilypond:
        for engraver in options.lilypond:
            yield run_tests(sys.executable, chosen or BY_THE_REFEREE, engraver)
        return
    for number, python in enumerate(options.pythons or pythons()):
        for libraries in options.libraries or ("lowest", "newest"):
            folder = scratch / f"{number}-{Path(python).name}-{libraries}"
            try:
                inside = environment(python, libraries, folder)
            except (OSError, subprocess.CalledProcessError) as error:
                yield failed(f"{python}, {libraries}", error)
                continue
            yield run_tests(inside, chosen or (QUICK if options.quick else ()))


def build_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m tests.versions", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("pythons", nargs="*", metavar="PYTHON", help="interpreters, by name or path")
    parser.add_argument("--libraries", action="append", choices=("lowest", "newest"), help="one set alone")
    parser.add_argument("--quick", action="store_true", help="the tests of reading and marking alone")
    parser.add_argument("--lilypond", action="append", metavar="PROGRAM", help="another referee, by name or path")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="where the environments stay")
    return parser


def main(arguments: Sequence[str]) -> int:
    """Run what was asked for, print the table, and return the exit status."""
    cut = arguments.index("--") if "--" in arguments else len(arguments)
    options = build_parser().parse_args(arguments[:cut])
    options.tests = arguments[cut + 1 :]
    with tempfile.TemporaryDirectory(prefix="lyfinger-versions-") as folder:
        table = list(runs(options, options.keep.absolute() if options.keep else Path(folder)))
    print("\n".join(map(str, table)) if table else "no Python 3.11 or later is on PATH; name one")
    return 0 if table and all(run.passed for run in table) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
