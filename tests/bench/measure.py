"""What is measured: whole processes from outside, and the stages of one from inside."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

KIB = 1024


@dataclass(frozen=True, slots=True)
class Process:
    """The quickest of several runs of one command: ``seconds`` of wall time, and the ``peak`` memory in KiB."""

    seconds: float
    peak: int


@dataclass(frozen=True, slots=True)
class Stages:
    """What one process took for each stage alone (seconds, the best of several), and how many notes there were."""

    notes: int
    digits: int
    lex_library: float
    lex_flat: float
    read: float
    search: float


def process(command: Sequence[str | Path], times: int) -> Process:
    """Run a command several times, after once for the caches of bytecode and files. Raises CalledProcessError."""
    _run([str(item) for item in command])
    runs = [_run([str(item) for item in command]) for _ in range(times)]
    return Process(min(run.seconds for run in runs), max(run.peak for run in runs))


def _run(command: list[str]) -> Process:
    """One run. Its peak is never less than this process's own memory, so nothing heavy is imported here."""
    with tempfile.TemporaryFile() as errors:
        start = time.perf_counter()
        child = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=errors, env=_environment()
        )
        _, status, usage = os.wait4(child.pid, 0)
        seconds = time.perf_counter() - start
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode:
            errors.seek(0)
            raise subprocess.CalledProcessError(child.returncode, command, stderr=errors.read())
    return Process(seconds, usage.ru_maxrss // (KIB if sys.platform == "darwin" else 1))


def _environment() -> dict[str, str]:
    """This process's environment, with bytecode kept between runs as an installed program's is."""
    return {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}


def stages(path: Path, times: int) -> Stages:
    """The stages of marking a file, measured in a process of their own."""
    command = [sys.executable, "-m", "tests.bench", "--inside", str(times), str(path)]
    return Stages(**json.loads(subprocess.run(command, check=True, capture_output=True).stdout))


def inside(path: Path, times: int) -> str:
    """Measure the stages here, and return them as JSON for :func:`stages`."""
    import ly.lex

    from lyfinger.config import Config, find_config, load_config
    from lyfinger.fingering.tables import tables_for
    from lyfinger.marking.joint import solve_jointly
    from lyfinger.marking.plan import make_plan
    from lyfinger.marking.player import player_of
    from lyfinger.reading.lexer import flat_tokens
    from lyfinger.reading.reader import read
    from lyfinger.score.model import Reading
    from lyfinger.source.library import Library

    found = find_config(path.absolute().parent)
    config = load_config(found) if found else Config()
    player = player_of(config)

    def read_once() -> Reading:
        library = Library(config.include)
        return read(library.root(path), library)

    reading = read_once()
    plan = make_plan([reading], config)
    passages = [solved.part.passage for solved in plan.passages]
    texts = [file.text for file in reading.files]

    def search_once() -> None:
        tables_for.cache_clear()  # a build starts with nothing kept
        solve_jointly(passages, player.place)

    return json.dumps(
        asdict(
            Stages(
                notes=sum(len(score.notes) for score in reading.scores if score.printed),
                digits=len(plan.digits),
                lex_library=_best(lambda: [list(ly.lex.state("lilypond").tokens(text)) for text in texts], times),
                lex_flat=_best(lambda: [list(flat_tokens(text)) for text in texts], times),
                read=_best(read_once, times),
                search=_best(search_once, times),
            )
        )
    )


def _best(work: Callable[[], object], times: int) -> float:
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best
