"""Other systems than a Linux with UTF-8: what is missing there, other separators, consoles and locales.

Windows itself is not at hand; its pieces are put in place of ours one by one. Expectations: Python's own documentation
of ``os``, ``pathlib`` and ``sys``.
"""

from __future__ import annotations

import io
import json
import ntpath
import os
import subprocess
import sys
from pathlib import Path

import pytest

from lyfinger.cli.progress import Progress
from lyfinger.source import paths
from lyfinger.source.dependencies import Rule, rules_text
from lyfinger.source.library import Found, Library
from lyfinger.source.messages import Refused
from lyfinger.source.replace import replace_files
from tests.whole.command import PROJECT, SAMPLES, lyfinger

COMMANDS = ("mark", "notes", "check", "explain", "proof", "clear", "diff", "pedals", "rules", "completion")

_WITHOUT = """
import importlib, os, pkgutil, signal, sys
class Absent:
    def find_spec(self, name, path=None, target=None):
        if name in {"fcntl", "resource", "pwd", "grp", "termios", "_posixshmem"}:
            raise ImportError(name + " is for Unix alone")
sys.meta_path.insert(0, Absent())
for name in ("fork", "getuid", "geteuid", "sched_getaffinity", "fchmod", "chown", "mkfifo", "killpg"):
    if hasattr(os, name):
        delattr(os, name)
for name in ("SIGPIPE", "SIGHUP", "SIGKILL", "SIGALRM"):
    if hasattr(signal, name):
        delattr(signal, name)
import lyfinger
for module in pkgutil.walk_packages(lyfinger.__path__, "lyfinger."):
    if not module.name.endswith("__main__"):
        importlib.import_module(module.name)
from lyfinger.cli.main import main
sys.exit(main(sys.argv[1:]))
"""


def _in_process(
    *arguments: str | Path, folder: Path, code: str | None = None, **variables: str
) -> tuple[int, bytes, bytes]:
    """Status and both streams of a process of its own, with these variables beside those of this one."""
    start = ["-c", code] if code else ["-m", "lyfinger"]
    environment = {**os.environ, "PYTHONPATH": str(PROJECT), **variables}
    done = subprocess.run(
        [sys.executable, *start, *map(os.fsencode, arguments)], cwd=folder, env=environment, capture_output=True
    )
    return done.returncode, done.stdout, done.stderr


def test_no_module_needs_what_unix_alone_has(tmp_path: Path) -> None:
    part = SAMPLES / "Parts" / "lantern-walk.ly"
    status, out, err = _in_process("mark", part, "--jobs", "4", folder=tmp_path, code=_WITHOUT)
    assert (status, b"Traceback" in err) == (0, False), err
    assert out == lyfinger("mark", part).out


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "cp437"])
@pytest.mark.parametrize("command", COMMANDS)
def test_help_on_a_console_with_few_characters(command: str, encoding: str, tmp_path: Path) -> None:
    status, out, err = _in_process(command, "--help", folder=tmp_path, PYTHONIOENCODING=encoding, PYTHONUTF8="0")
    assert (status, err) == (0, b"")
    assert b"usage: lyfinger " + command.encode() in out


def test_messages_on_a_console_with_few_characters(tmp_path: Path) -> None:
    (tmp_path / "♯.ly").write_text('\\version "2.24.0"\n{ \\unheard-of c\'4 }\n', encoding="utf-8")
    (tmp_path / "wide.ly").write_text("\\new Staff = RH { <c' fis'''>1 }\n", encoding="utf-8")
    for name in ("♯.ly", "wide.ly"):
        wanted = _in_process("check", name, folder=tmp_path, PYTHONIOENCODING="utf-8")
        status, out, err = _in_process("check", name, folder=tmp_path, PYTHONIOENCODING="cp1252", PYTHONUTF8="0")
        assert (status, out) == wanted[:2]
        assert b"Traceback" not in err
        assert err.count(b"\n") == wanted[2].count(b"\n")
        assert (out + err).strip()


def test_bytes_go_out_as_they_are(tmp_path: Path) -> None:
    source = "% é ♯\r\n\\new Staff = RH { c'4 d' \r e' f' }\r\n\n"
    (tmp_path / "a.ly").write_bytes(source.encode())
    status, out, _ = _in_process("mark", "a.ly", folder=tmp_path, PYTHONIOENCODING="cp1252", PYTHONUTF8="0")
    assert status == 0
    assert out.count(b"\r\n") == 2
    assert out.startswith("% é ♯\r\n".encode())
    assert out.replace(b"^1", b"").replace(b"^2", b"").replace(b"^3", b"").replace(b"^4", b"") == source.encode()


LOCALES = {"C": {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}, "UTF-8 mode": {"PYTHONUTF8": "1"}}


@pytest.mark.parametrize("locale", LOCALES)
def test_names_are_bytes_in_any_locale(locale: str, tmp_path: Path) -> None:
    """The file that includes, the one that is included, the folder of the settings, and a name that is no UTF-8."""
    (tmp_path / "nôtes").mkdir()
    (tmp_path / "lyfinger.toml").write_text('include = ["nôtes"]\n', encoding="utf-8")
    (tmp_path / "nôtes" / "é.ily").write_text("m = { c'4 d' }\n", encoding="utf-8")
    for name in ("ü.ly".encode(), b"\xfc.ly"):
        (tmp_path / os.fsdecode(name)).write_text('\\include "é.ily"\n\\new Staff = RH { \\m }\n', encoding="utf-8")
        status, out, err = _in_process(
            "mark", os.fsdecode(name), "--output-dir", "out", "--depfile", "out/d", folder=tmp_path, **LOCALES[locale]
        )
        assert (status, out, err) == (0, b"", b"")
        rules = (tmp_path / "out" / "d").read_bytes()
        assert b"out/" + name + b": " in rules
        assert "\n nôtes/é.ily".encode() in rules
        assert (tmp_path / "out" / "nôtes" / "é.ily").read_text("utf-8").count("^") == 2


def test_text_files_are_opened_with_an_encoding(tmp_path: Path) -> None:
    """Python warns where a text file is opened in whatever encoding the locale has; here that is an error."""
    code = "import sys\nfrom lyfinger.cli.main import main\nsys.exit(main(sys.argv[1:]))"
    command = [sys.executable, "-X", "warn_default_encoding", "-W", "error::EncodingWarning", "-c", code]
    for arguments in (["mark", "Parts/lantern-walk.ly", "--pedals"], ["check", "Scores/ferry.ly"], ["rules"]):
        environment = {**os.environ, "PYTHONPATH": str(PROJECT), "XDG_CACHE_HOME": str(tmp_path)}
        done = subprocess.run([*command, *arguments], cwd=SAMPLES, env=environment, capture_output=True)
        assert done.returncode in (0, 1), done.stderr
        assert b"EncodingWarning" not in done.stderr


def test_rules_for_make_on_windows(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sep", "\\")
    made = rules_text([Rule(("build\\Parts\\a.ly",), ("C:\\My Scores\\a.ly", "\\\\server\\share\\n.ily"))]).decode()
    assert made.split("\n\n")[0] == "build/Parts/a.ly: \\\n C\\:/My\\ Scores/a.ly \\\n //server/share/n.ily"


def test_a_file_on_another_drive_is_named_in_full(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ntpath, "abspath", ntpath.normpath)
    monkeypatch.setattr(os, "path", ntpath)
    monkeypatch.setattr(os, "getcwd", lambda: "C:\\scores")
    assert paths.from_here("D:\\parts\\..\\a.ly") == "D:\\a.ly"


def test_a_target_that_another_program_holds_open_is_refused(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Windows renames nothing onto an open file: PermissionError, and what stood there stays."""

    def held(source: str, target: Path) -> None:
        raise PermissionError(13, "The process cannot access the file because it is being used by another process")

    (tmp_path / "a.ly").write_bytes(b"old")
    monkeypatch.setattr(os, "replace", held)
    with pytest.raises(Refused, match=r"can't write .*a\.ly: The process cannot access the file"):
        replace_files([(tmp_path / "a.ly", b"new")])
    assert [path.read_bytes() for path in tmp_path.iterdir()] == [b"old"]


def test_an_include_with_backslashes(tmp_path: Path) -> None:
    r"""``"a\\b.ily"`` is the name ``a\b.ily``: on Windows a folder and a file, elsewhere one name."""
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "b.ily").write_text("m = { c'4 d' }\n", encoding="utf-8")
    if os.sep == "/":
        (tmp_path / "a\\b.ily").write_text("m = { e'4 f' }\n", encoding="utf-8")
    library = Library(directory=tmp_path)
    (tmp_path / "top.ly").write_text('\\include "a\\\\b.ily"\n\\new Staff = RH { \\m }\n', encoding="utf-8")
    assert isinstance(library.include(library.root("top.ly"), "a\\b.ily"), Found)
    listed = lyfinger("notes", "top.ly", "--format", "json", folder=tmp_path)
    assert [note["file"] for note in json.loads(listed.out)["notes"]] == ["a\\b.ily"] * 2


def test_progress_needs_no_control_sequences(monkeypatch: pytest.MonkeyPatch) -> None:
    class Console(io.StringIO):
        def isatty(self) -> bool:
            return True

    console = Console()
    monkeypatch.setattr(sys, "stderr", console)
    with Progress() as progress:
        progress.show("work", 1, 2)
        progress.show("work", 2, 2)
    shown = console.getvalue()
    assert "\x1b" not in shown
    assert shown.endswith("\r")
    assert not shown.rstrip("\r").rpartition("\r")[2].strip()
