"""A command line in a process that tells what it asks of the system: ``python -m tests.whole.audited FD ARGUMENT…``.

The interpreter reports files, sockets, processes and libraries to an audit hook before it touches them (PEP 578).
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .command import PROJECT

#: Beginnings of the interpreter's events that lead out of a process.
FILES = ("open", "os.listdir", "os.scandir", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link", "os.symlink",
         "os.truncate", "shutil.")  # fmt: skip
NETWORK = ("socket.", "urllib.", "ftplib.", "http.", "smtplib.", "imaplib.", "poplib.", "telnetlib.", "nntplib.")
PROCESSES = ("subprocess.", "os.exec", "os.system", "os.posix_spawn", "os.spawn", "os.fork", "os.popen", "os.startfile",
             "pty.", "webbrowser.", "ctypes.")  # fmt: skip


@dataclass(frozen=True)
class Deed:
    """One event: its name, the path or thing that it is about, and whether a file is opened for writing."""

    event: str
    what: str
    writes: bool


@dataclass(frozen=True)
class Audit:
    """What a process did, and its status and standard error."""

    deeds: tuple[Deed, ...]
    status: int
    err: str

    def of(self, *beginnings: str) -> list[str]:
        """What the events with such names are about."""
        return [deed.what for deed in self.deeds if deed.event.startswith(beginnings)]

    def opened(self, *, writing: bool = False) -> set[str]:
        """Real paths of the files that were opened, but for those of the interpreter and of the program itself."""
        paths = (os.path.realpath(deed.what) for deed in self.deeds if deed.event == "open" and deed.writes == writing)
        return {path for path in paths if not path.startswith(_own())}


def _own() -> tuple[str, ...]:
    roots = {sys.prefix, sys.base_prefix, sys.exec_prefix, str(PROJECT / "lyfinger"), str(PROJECT / "grammar")}
    return tuple(os.path.realpath(root) + os.sep for root in roots)


def audited(*arguments: str, folder: Path) -> Audit:
    """Run a command line in ``folder``, with the cache folder below it."""
    here, there = os.pipe()
    environment = {**os.environ, "PYTHONPATH": str(PROJECT), "PYTHONDONTWRITEBYTECODE": "1"}
    environment["XDG_CACHE_HOME"] = str(folder / "cache")
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.whole.audited", str(there), *arguments],
        cwd=folder,
        env=environment,
        pass_fds=[there],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    os.close(there)
    with os.fdopen(here, encoding="utf-8", errors="surrogateescape") as report:
        deeds = tuple(Deed(*json.loads(line)) for line in report)
    _, err = process.communicate()
    return Audit(deeds, process.returncode, err.decode())


def _tell_all(handle: int) -> None:
    busy: list[int] = []

    def tell(event: str, arguments: tuple[Any, ...]) -> None:
        if busy or not event.startswith((*FILES, *NETWORK, *PROCESSES)):
            return
        busy.append(1)
        try:
            if event != "open" or not isinstance(arguments[0], int):  # a number is of a file that is open already
                os.write(handle, (json.dumps(_deed(event, arguments)) + "\n").encode("utf-8", "surrogateescape"))
        finally:
            busy.pop()

    sys.addaudithook(tell)


def _deed(event: str, arguments: tuple[Any, ...]) -> tuple[str, str, bool]:
    what = arguments[0] if arguments else ""
    text = os.path.abspath(os.fsdecode(what)) if isinstance(what, (str, bytes, os.PathLike)) else repr(what)
    if event != "open":
        return event, text, False
    mode, flags = arguments[1], arguments[2]
    return event, text, bool(set(mode or "") & set("wax+")) or bool(flags & (os.O_WRONLY | os.O_RDWR))


if __name__ == "__main__":
    _tell_all(int(sys.argv[1]))
    from lyfinger.cli.main import main

    sys.exit(main(sys.argv[2:]))
