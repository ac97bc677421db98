"""The command line whatever happens: help, version, and every accident in one line."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from lyfinger import __version__
from lyfinger.cli import streams
from lyfinger.cli.main import main

from .conftest import PROJECT, SINGLE, SINGLE_MARKED, Result, Run


def test_version(run: Run) -> None:
    assert run("--version") == Result(0, f"lyfinger {__version__}\n".encode(), b"")


@pytest.mark.parametrize("arguments", [["--version"], ["--help"], ["mark", "--help"]])
def test_nothing_heavy_is_loaded_to_say_so(arguments: list[str]) -> None:
    script = (
        "import sys\n"
        "from lyfinger.cli.main import main\n"
        f"main({arguments!r})\n"
        "heavy = {'ly', 'lark', 'tomllib', 'json', 'difflib', 'tempfile'}\n"
        "sys.exit(', '.join(heavy & set(sys.modules)) or 0)\n"
    )
    subprocess.run([sys.executable, "-c", script], cwd=PROJECT, check=True, capture_output=True)


@pytest.mark.parametrize("command", ["mark", "notes", "check", "pedals"])
def test_nothing_that_a_build_loads_defines_a_dataclass(command: str) -> None:
    """They take longer to define than all the rest of a module: half of a start, once."""
    script = (
        "import sys\n"
        "from lyfinger.cli.main import main\n"
        f"main([{command!r}, 'samples/Teaching/stepping-stones.ly'])\n"
        "ours = [module for name, module in sys.modules.items() if name.startswith('lyfinger.')]\n"
        "assert len(ours) > 50\n"
        "sys.exit(', '.join(module.__name__ for module in ours if hasattr(module, 'dataclass')) or 0)\n"
    )
    subprocess.run([sys.executable, "-c", script], cwd=PROJECT, check=True, capture_output=True)


@pytest.mark.parametrize("command", ["mark", "notes", "check"])
def test_help_says_what_every_option_is_for(run: Run, command: str) -> None:
    text = run(command, "--help").out.decode()
    options = {"-I", "--stdin-filename", "--strict", "--hand", "--config"}
    options |= {
        "mark": {"-o", "--output-dir", "--in-place", "--diff", "--root"},
        "notes": {"--format"},
        "check": {"--fail-on"},
    }[command]
    assert all(option in text for option in options)
    assert "exit status: 0 done" in text


def test_the_top_help_names_the_commands(run: Run) -> None:
    text = run("--help").out.decode()
    assert all(name in text for name in ("mark", "notes", "check", "examples:"))


@pytest.mark.parametrize("arguments", [[], ["finger"], ["--no-such-option"], ["mark", "--out", "x"], ["check"]])
def test_a_wrong_command_line_is_refused_in_one_line(run: Run, arguments: list[str]) -> None:
    result = run(*arguments)
    assert (result.status, result.out, len(result.lines)) == (2, b"", 1)
    assert "--help" in result.lines[0]


_AS_INSTALLED = (
    "import atexit, sys\n"
    "from lyfinger.cli.main import process\n"
    "atexit.register(lambda: print('the last word', file=sys.stderr, flush=True))\n"
    "process()"
)


@pytest.mark.parametrize(("arguments", "status"), [(["mark", "single.ly"], 0), (["mark", "--help"], 0), (["mark"], 2)])
def test_the_installed_program_says_all_before_it_leaves(repository: Path, arguments: list[str], status: int) -> None:
    as_module, installed = (
        subprocess.run(
            [sys.executable, *way, *arguments],
            cwd=repository,
            env={**os.environ, "PYTHONPATH": str(PROJECT)},
            capture_output=True,
        )
        for way in (["-m", "lyfinger"], ["-c", _AS_INSTALLED])
    )
    assert (installed.returncode, installed.stdout) == (status, as_module.stdout)
    assert installed.stderr == as_module.stderr + b"the last word\n"


def test_a_reader_that_goes_away(repository: Path) -> None:
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        [sys.executable, "-m", "lyfinger", "mark", "single.ly"],
        cwd=repository,
        env={**os.environ, "PYTHONPATH": str(PROJECT)},
        stdout=writer,
        stderr=subprocess.PIPE,
        timeout=60,
    )
    os.close(writer)
    assert done.returncode == 2
    assert done.stderr == b"lyfinger: standard output was closed before all was written\n"


class _Full:
    """A standard output that nothing can be written to."""

    def flush(self) -> None:
        """Nothing is held back."""

    def fileno(self) -> int:
        raise OSError(errno.EBADF, os.strerror(errno.EBADF))

    @property
    def buffer(self) -> _Full:
        return self

    def write(self, _: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_full_disk_behind_standard_output(
    repository: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(repository)
    monkeypatch.setattr(sys, "stdout", _Full())
    assert main(["mark", "single.ly"]) == 2
    assert capsys.readouterr().err == "lyfinger: can't write standard output: No space left on device\n"


@pytest.mark.parametrize(
    ("accident", "line"),
    [
        (KeyboardInterrupt(), "lyfinger: interrupted"),
        (RecursionError(), "lyfinger: the music is nested too deeply to be followed"),
        (MemoryError(), "lyfinger: out of memory"),
        (PermissionError(13, "Permission denied", "a\nb.ly"), r"lyfinger: a\nb.ly: Permission denied"),
        (OSError("odd"), "lyfinger: the system: odd"),
        (
            ZeroDivisionError("two\nlines"),
            r"lyfinger: internal error, please report it: ZeroDivisionError: two\nlines at ",
        ),
    ],
)
def test_accidents_are_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], accident: BaseException, line: str
) -> None:
    def fail(_: object) -> int:
        raise accident

    monkeypatch.setattr("lyfinger.cli.notes.notes", fail)
    assert main(["notes", "x.ly"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(line)
    assert err.count("\n") == 1


def test_without_streams(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "single.ly").write_bytes(SINGLE)
    for name in ("stdin", "stdout", "stderr"):
        monkeypatch.setattr(sys, name, None)
    assert main(["mark", "-"]) == 2
    assert main(["mark", "single.ly"]) == 2
    assert main(["mark", "single.ly", "-o", "out.ly"]) == 0
    assert (tmp_path / "out.ly").read_bytes() == SINGLE_MARKED


def test_nobody_to_tell(monkeypatch: pytest.MonkeyPatch) -> None:
    class Gone:
        def write(self, _: str) -> int:
            raise BrokenPipeError

        def flush(self) -> None:
            raise BrokenPipeError

    monkeypatch.setattr(sys, "stderr", Gone())
    streams.say("a line")


def test_names_that_are_no_text_come_back_as_they_are(run: Run, repository: Path) -> None:
    name = os.fsencode(repository) + b"/caf\xe9.ly"
    with open(name, "wb") as stream:
        stream.write(SINGLE)
    assert run("mark", b"caf\xe9.ly") == Result(0, SINGLE_MARKED, b"")
    assert run("mark", "--diff", b"caf\xe9.ly").out.startswith(b"--- caf\xe9.ly\n+++ caf\xe9.ly\n")
    assert run("notes", b"caf\xe9.ly").out.splitlines()[1].startswith(b"caf\xe9.ly:2:")


def test_same_bytes_whatever_the_hash_seed_and_locale(repository: Path) -> None:
    def marked(**environment: str) -> bytes:
        return subprocess.run(
            [sys.executable, "-m", "lyfinger", "mark", "--diff", "parts/harp.ly", "single.ly"],
            cwd=repository,
            env={"PATH": os.environ["PATH"], "PYTHONPATH": str(PROJECT), **environment},
            capture_output=True,
            timeout=60,
        ).stdout

    first = marked(PYTHONHASHSEED="1", LC_ALL="C")
    assert first
    assert marked(PYTHONHASHSEED="2", LC_ALL="C.UTF-8") == first
