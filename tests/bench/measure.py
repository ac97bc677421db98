"""What is measured: whole processes from outside, and the stages of one from inside.

Time is processor time (user and system), the least of several runs: on a machine that does other things too, it is
what comes nearest to the work itself. Memory is the peak of the resident set.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any, NamedTuple

KIB = 1024
Command = Sequence[str | Path]

LEX_ALONE = (
    "import sys, ly.lex\n"
    "for token in ly.lex.state('lilypond').tokens(open(sys.argv[1], encoding='utf-8').read()): pass\n"
)
"""All that any tool on python-ly has to do with a file."""


class Process(NamedTuple):
    """The best of several runs of one command: processor ``seconds``, the ``peak`` memory of its largest process in
    bytes, and the seconds ``elapsed`` on the clock."""

    seconds: float
    peak: int
    elapsed: float

    def least(self, other: Process) -> Process:
        """The better of both in each respect."""
        return Process(min(self.seconds, other.seconds), min(self.peak, other.peak), min(self.elapsed, other.elapsed))


def processes(commands: Mapping[str, Command], times: int) -> dict[str, Process]:
    """Run each command several times, in turn, so that they share what else goes on; the first round fills caches.

    Raises CalledProcessError.
    """
    best: dict[str, Process] = {}
    for turn in range(times + 1):
        for name, command in commands.items():
            run = _run([str(item) for item in command])
            known = best.get(name)
            if turn:
                best[name] = run if known is None else run.least(known)
    return best


def _run(command: list[str]) -> Process:
    """One run. Its peak is never less than this process's own memory, so nothing heavy is imported here."""
    with tempfile.TemporaryFile() as errors:
        began = time.perf_counter()
        child = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=errors, env=_environment()
        )
        _, status, usage = os.wait4(child.pid, 0)
        elapsed = time.perf_counter() - began
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode not in (0, 1):
            errors.seek(0)
            raise subprocess.CalledProcessError(child.returncode, command, stderr=errors.read())
    peak = usage.ru_maxrss * (1 if sys.platform == "darwin" else KIB)
    return Process(usage.ru_utime + usage.ru_stime, peak, elapsed)


def _environment() -> dict[str, str]:
    """This process's environment, with bytecode kept between runs as an installed program's is."""
    return {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}


class Stages(NamedTuple):
    """How many notes there are, and what marking them takes stage by stage, in the order in which it is done."""

    notes: int
    digits: int
    seconds: dict[str, float]


def stages(path: Path, times: int) -> Stages:
    """The best of several processes for each stage."""
    command = [sys.executable, "-m", "tests.bench", "--inside", str(path)]
    runs = [_stages_once(command) for _ in range(times)]
    names = runs[0].seconds
    return runs[0]._replace(seconds={name: min(run.seconds[name] for run in runs) for name in names})


def _stages_once(command: Sequence[str]) -> Stages:
    printed = subprocess.run(command, check=True, capture_output=True, env=_environment()).stdout
    return Stages(*json.loads(printed))


def inside(path: Path) -> str:
    """Mark a file here, as a fresh process does, and return its :class:`Stages` as JSON."""
    clock = _Clock()
    clock.lap("starting the interpreter and the bench")
    import gc

    from lyfinger.cli.main import SELDOM

    gc.set_threshold(SELDOM)
    for name in ("options", "mark"):
        import_module(f"lyfinger.cli.{name}")
    clock.lap("loading modules")
    from lyfinger.config import Config, find_config, load_config
    from lyfinger.marking import plan as planning
    from lyfinger.reading import parser, reader
    from lyfinger.source.library import Library

    parser._parser()
    clock.lap("loading the parsing table")
    found = find_config(path.absolute().parent)
    config = load_config(found) if found else Config()
    library = Library(config.include)
    root = library.root(path)
    clock.start()
    reading = reader.read(root, library)
    clock.lap("reading")
    inner = _Clock()
    for name, stage in (("assign", "  hands"), ("_planned", "  passages"), ("solve_jointly", "  search")):
        setattr(planning, name, inner.timed(getattr(planning, name), stage))
    plan = planning.make_plan([reading], config)
    clock.lap("planning")
    planning.prove(plan, library)
    clock.lap("the proof (reading again)")
    notes = sum(len(score.notes) for score in reading.scores if score.printed)
    return json.dumps(Stages(notes, len(plan.digits), {**clock.seconds, **inner.seconds}))


class _Clock:
    """Processor time by stage."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self._since = 0.0

    def start(self) -> None:
        self._since = time.process_time()

    def lap(self, name: str) -> None:
        """What has passed since the last lap (the first: since the process began)."""
        now = time.process_time()
        self.seconds[name] = now - self._since
        self._since = now

    def timed(self, work: Callable[..., Any], name: str) -> Callable[..., Any]:
        def run(*given: Any) -> Any:
            began = time.process_time()
            result = work(*given)
            self.seconds[name] = self.seconds.get(name, 0.0) + time.process_time() - began
            return result

        return run
