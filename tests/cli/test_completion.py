"""``lyfinger completion``, in a real bash that somebody types into."""

from __future__ import annotations

import os
import pty
import re
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest

from lyfinger.cli.main import main

from .conftest import Run


class Terminal:
    """An interactive bash in a folder, with the completion loaded and a ``lyfinger`` that shows its arguments."""

    def __init__(self, folder: Path, script: bytes) -> None:
        (folder / "completion.bash").write_bytes(script)
        (folder / "rc").write_text("PS1='ready> '\nlyfinger() { printf '<%s>' \"$@\"; echo; }\n. ./completion.bash\n")
        self._ours, theirs = pty.openpty()
        self._shell = subprocess.Popen(
            ["bash", "--noprofile", "--rcfile", "rc", "-i"],
            cwd=folder,
            env={"PATH": os.environ["PATH"], "TERM": "dumb", "INPUTRC": os.devnull, "HOME": str(folder)},
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            start_new_session=True,
        )
        os.close(theirs)
        self._until(rb"ready> $")

    def arguments(self, typed: str) -> list[str]:
        """What ``lyfinger`` was given once a line has been typed; a tab completes."""
        for piece in re.split("(?<=\t)", f"lyfinger {typed}"):
            os.write(self._ours, piece.encode())
            time.sleep(0.15)  # a tab is answered before more is typed
        os.write(self._ours, b"\n")
        shown = self._until(rb"\n<.*>\r\nready> $")
        return re.findall(r"<([^>]*)>", shown.decode().split("\n")[-2])

    def _until(self, pattern: bytes) -> bytes:
        seen = b""
        while not re.search(pattern, seen):
            ready, _, _ = select.select([self._ours], [], [], 20)
            assert ready, seen
            seen += os.read(self._ours, 4096)
        return seen

    def close(self) -> None:
        """Hang up."""
        os.write(self._ours, b"\nexit\n")
        self._shell.wait(20)
        os.close(self._ours)


@pytest.mark.parametrize(
    ("typed", "given"),
    [
        ("expl\t", ["explain"]),
        ("mark sing\t", ["mark", "single.ly"]),
        ("mark --output-d\tpar\t single\t", ["mark", "--output-dir", "parts/", "single.ly"]),
        ("mark --dep\tsing\t", ["mark", "--depfile", "single.ly"]),
        ("check --fail-on warn\tscores/f\t", ["check", "--fail-on", "warning", "scores/full.ly"]),
        ("notes --format j\t--hand sm\t", ["notes", "--format", "json", "--hand", "small"]),
    ],
)
def test_a_tab_completes(run: Run, repository: Path, typed: str, given: list[str]) -> None:
    terminal = Terminal(repository, run("completion", "bash").out)
    try:
        assert terminal.arguments(typed) == given
    finally:
        terminal.close()


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_every_option_is_in_the_script(run: Run, shell: str) -> None:
    result = run("completion", shell)
    assert (result.status, result.err) == (0, b"")
    for command in ("mark", "check", "explain"):
        for option in re.findall(rb"  --([a-z][a-z-]+)", run(command, "--help").out):
            assert option in result.out


def test_without_the_package_it_is_refused_in_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(sys.modules, "shtab", None)
    assert main(["completion", "bash"]) == 2
    text = "lyfinger: completion needs the package shtab: python3 -m pip install 'lyfinger[completion]'\n"
    assert capsys.readouterr().err == text
