"""Killed, out of room, forbidden, or not alone: the old file or the new one stands there, whole."""

from __future__ import annotations

import fcntl
import os
import random
import resource
import shutil
import signal
import stat
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from lyfinger.cli.main import main
from lyfinger.source import alone
from lyfinger.source.replace import _machine
from tests.whole.command import lyfinger
from tests.whole.confined import confined

from .conftest import NOTES, NOTES_MARKED, PROJECT, SCORE, SINGLE, SINGLE_MARKED, Run, snapshot

TREE = ("mark", "parts/harp.ly", "scores/full.ly", "single.ly", "--output-dir", "build")
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(PROJECT), "PYTHONDONTWRITEBYTECODE": "1"}
NOBODY = 65534


def _start(folder: Path, *arguments: str) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "lyfinger", *arguments]
    return subprocess.Popen(
        command, cwd=folder, env=ENVIRONMENT, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )


def _left_over(folder: Path) -> list[Path]:
    return sorted(folder.rglob(".*.tmp"))


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_killed_at_any_time(number: signal.Signals, run: Run, repository: Path) -> None:
    """By the clock, from the start of the interpreter to the last file; each later run sweeps and goes on."""
    started = time.monotonic()
    assert run(*TREE).status == 0
    whole = time.monotonic() - started
    old = snapshot(repository / "build")
    (repository / "single.ly").write_bytes(SINGLE + b"% more\n")
    (repository / "notes" / "tune.ily").write_bytes(NOTES + b"% more\n")
    chance = random.Random(int(number))
    for turn in range(8):
        process = _start(repository, *TREE)
        time.sleep(whole * (0.6 + 0.5 * turn / 8 + 0.05 * chance.random()))
        process.send_signal(number)
        _, said = process.communicate()
        assert process.returncode in (0, 2, -number), said
        assert b"Traceback" not in said
        found = {name: data for name, data in snapshot(repository / "build").items() if not name.endswith(".tmp")}
        assert found.keys() == old.keys()
        assert all(data in (old[name], old[name] + b"% more\n") for name, data in found.items())
    assert run(*TREE).status == 0
    assert _left_over(repository) == []
    assert (repository / "build" / "single.ly").read_bytes() == SINGLE_MARKED + b"% more\n"


_KILLED_BEFORE_ITS_NAME = """
import os, signal, sys
from lyfinger.cli.main import main
os.replace = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
sys.exit(main(sys.argv[1:]))
"""


@pytest.mark.parametrize("arguments", [("-o", "out.ly"), ("--in-place",), ("--output-dir", "build")])
def test_what_a_killed_run_left_the_next_one_sweeps(run: Run, repository: Path, arguments: tuple[str, ...]) -> None:
    killed = subprocess.run(
        [sys.executable, "-c", _KILLED_BEFORE_ITS_NAME, "mark", "single.ly", *arguments],
        cwd=repository,
        env=ENVIRONMENT,
        check=False,
    )
    assert killed.returncode == -signal.SIGKILL
    assert _left_over(repository)
    assert run("mark", "single.ly", *arguments).status == 0
    assert _left_over(repository) == []


def test_only_what_is_left_is_swept(run: Run, repository: Path) -> None:
    """What processes that live, other machines and other programs have left stays; that of the dead, and old, goes."""
    done = subprocess.Popen(["true"])
    done.wait()
    names = {
        f".single.ly.{_machine()}-{done.pid}.abcdefgh.tmp": False,
        f".other\n.ly.{_machine()}-{done.pid}.abcdefgh.tmp": False,
        f".single.ly.{_machine()}-{os.getpid()}.abcdefgh.tmp": True,
        f".single.ly.00000000-{done.pid}.abcdefgh.tmp": True,
        ".single.ly.00000000-1.abcdef_h.tmp": False,  # old
        ".single.ly.tmp": True,
        f"single.ly.{_machine()}-{done.pid}.abcdefgh.tmp": True,
    }
    for name in names:
        (repository / name).touch()
    os.utime(repository / ".single.ly.00000000-1.abcdef_h.tmp", (0, 0))
    assert run("mark", "single.ly", "-o", "out.ly").status == 0
    assert {name: (repository / name).exists() for name in names} == names


def test_a_disk_without_room(repository: Path) -> None:
    """The limit of a file's size stands for it; ``/dev/full`` is one. By hand, on a real one: see DEVELOPERS.md."""
    (repository / "long.ly").write_bytes(SINGLE + b"% " + b"x" * 5000)
    (repository / "out.ly").write_bytes(b"old")

    def limited() -> tuple[int, str]:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
        result = lyfinger("mark", "long.ly", "-o", "out.ly", folder=repository)
        return result.status, result.err

    lyfinger("mark", "long.ly", folder=repository)
    ended = confined(limited)
    assert ended.value == (2, "lyfinger: can't write out.ly: File too large\n"), ended.fault
    assert (repository / "out.ly").read_bytes() == b"old"
    assert _left_over(repository) == []
    full = lyfinger("mark", "single.ly", "-o", "/dev/full", folder=repository)
    assert (full.status, full.err) == (2, "lyfinger: can't write /dev/full: No space left on device\n")
    assert stat.S_ISCHR(os.stat("/dev/full").st_mode)


@pytest.fixture
def shared() -> Iterator[Path]:
    """A folder that another user can reach."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o777)
        (folder / "single.ly").write_bytes(SINGLE)
        (folder / "single.ly").chmod(0o644)
        yield folder


def _as_nobody(folder: Path, *arguments: str) -> tuple[int, str]:
    """Run a command line as a user who is not allowed everything, as whoever runs the tests may be."""

    def drop() -> tuple[int, str]:
        lyfinger("mark", "single.ly", *arguments, "--diff", folder=folder)  # loads all that the other can't read
        lyfinger("mark", "single.ly", "-o", folder / "try.ly", folder=folder)
        os.unlink(folder / "try.ly")
        if os.geteuid() == 0:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        result = lyfinger("mark", "single.ly", *arguments, folder=folder)
        return result.status, result.err

    ended = confined(drop)
    assert not ended.fault, ended.fault
    status, err = ended.value
    return int(status), str(err)


@pytest.mark.parametrize("in_place", [True, False])
def test_a_read_only_target(shared: Path, in_place: bool) -> None:
    target = shared / ("single.ly" if in_place else "out.ly")
    target.write_bytes(SINGLE)
    target.chmod(0o444)
    arguments = ["--in-place"] if in_place else ["-o", "out.ly"]
    status, said = _as_nobody(shared, *arguments)
    assert (status, said) == (2, f"lyfinger: can't write {target if in_place else 'out.ly'}: Permission denied\n")
    assert target.read_bytes() == SINGLE
    assert sorted(os.listdir(shared)) == sorted({"single.ly", target.name})


def test_a_read_only_folder(shared: Path) -> None:
    inside = shared / "inside"
    inside.mkdir()
    (inside / "out.ly").write_bytes(b"old")
    (inside / "out.ly").chmod(0o666)
    inside.chmod(0o555)
    try:
        status, said = _as_nobody(shared, "-o", "inside/out.ly")
        assert (status, said) == (2, "lyfinger: can't write inside/out.ly: Permission denied\n")
        assert (inside / "out.ly").read_bytes() == b"old"
        status, said = _as_nobody(shared, "--output-dir", "inside/build")
        assert status == 2
        assert said.startswith("lyfinger: can't make ")
        assert os.listdir(inside) == ["out.ly"]
    finally:
        inside.chmod(0o755)


@pytest.mark.parametrize(
    "name", ["single.ly", "./single.ly", "parts/../single.ly", "link.ly", "hard.ly", "far/single.ly"]
)
@pytest.mark.parametrize("command", ["mark", "clear"])
def test_a_target_that_is_the_source(run: Run, repository: Path, name: str, command: str) -> None:
    (repository / "link.ly").symlink_to("single.ly")
    os.link(repository / "single.ly", repository / "hard.ly")
    (repository / "far").symlink_to(".")
    for target in (name, str(repository / name)):
        result = run(command, "single.ly", "-o", target)
        assert (result.status, len(result.lines)) == (2, 1)
        assert "is a source of this run" in result.lines[0]
        assert (repository / "single.ly").read_bytes() == SINGLE
        assert (repository / "link.ly").is_symlink()


def test_a_tree_through_a_hard_link_onto_the_source(run: Run, repository: Path) -> None:
    (repository / "build").mkdir()
    os.link(repository / "single.ly", repository / "build" / "single.ly")
    result = run("mark", "single.ly", "--output-dir", "build")
    assert result.status == 2
    assert (repository / "single.ly").read_bytes() == SINGLE
    assert snapshot(repository / "build") == {"single.ly": SINGLE}


def test_a_link_stays_and_what_it_leads_to_is_replaced(run: Run, repository: Path) -> None:
    (repository / "elsewhere").mkdir()
    (repository / "elsewhere" / "real.ly").write_bytes(b"old")
    (repository / "out.ly").symlink_to("elsewhere/real.ly")
    assert run("mark", "single.ly", "-o", "out.ly").status == 0
    assert os.readlink(repository / "out.ly") == "elsewhere/real.ly"
    assert (repository / "elsewhere" / "real.ly").read_bytes() == SINGLE_MARKED


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_mode_and_owner_stay(run: Run, repository: Path, mode: int) -> None:
    path = repository / "single.ly"
    owner = (NOBODY, NOBODY) if os.geteuid() == 0 else (os.geteuid(), os.getegid())
    os.chown(path, *owner)
    path.chmod(mode)
    assert run("mark", "--in-place", "single.ly").status == 0
    status = path.stat()
    assert (stat.S_IMODE(status.st_mode), status.st_uid, status.st_gid) == (mode, *owner)
    assert path.read_bytes() == SINGLE_MARKED


_SAVED_BY_AN_EDITOR = """
import os, sys
from lyfinger.cli.main import main
def fsync(handle, real=os.fsync):
    open("single.ly", "w").write("saved by an editor")
    return real(handle)
os.fsync = fsync
sys.exit(main(sys.argv[1:]))
"""


def test_a_source_that_changes_while_it_is_written(repository: Path) -> None:
    """The last look is taken when all that is new is on disk already, before the first file gets its name."""
    done = subprocess.run(
        [sys.executable, "-c", _SAVED_BY_AN_EDITOR, "mark", "--in-place", "parts/harp.ly", "single.ly"],
        cwd=repository,
        env=ENVIRONMENT,
        capture_output=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stderr == b"lyfinger: single.ly was changed by another program while it was read; nothing is written\n"
    assert (repository / "single.ly").read_bytes() == b"saved by an editor"
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES
    assert _left_over(repository) == []


def test_several_at_once_into_one_directory(run: Run, repository: Path) -> None:
    """Two scores that would give a shared file different digits: whoever comes second sees what the first has done."""
    other = SCORE.replace(b"\\rightHand", b"{ \\tempo 4 = 60 g'4-1 \\rightHand }").replace(b"LH", b"RH2")
    (repository / "scores" / "full.ly").write_bytes(other)
    for _ in range(3):
        roots = ["parts/harp.ly", "scores/full.ly"] * 2
        started = [_start(repository, "mark", root, "--output-dir", "build") for root in roots]
        ended = [
            (root, process.communicate()[1], process.returncode) for root, process in zip(roots, started, strict=True)
        ]
        done = {root for root, _, status in ended if status == 0}
        assert len(done) == 1, ended
        for root, said, status in ended:
            assert status == 0 or (root not in done and b"would get other digits from" in said)
        assert _left_over(repository) == []
        shutil.rmtree(repository / "build")


def test_the_same_at_once_in_place(repository: Path) -> None:
    started = [_start(repository, "mark", "--in-place", "parts/harp.ly") for _ in range(4)]
    for process in started:
        _, said = process.communicate()
        assert process.returncode == 0 or b"was changed by another program" in said
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES_MARKED
    assert _left_over(repository) == []


def test_a_directory_that_another_process_holds(
    repository: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(repository)
    monkeypatch.setattr(alone, "PATIENCE", 0.1)
    build = repository / "build"
    build.mkdir()
    handle = os.open(build, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        assert main(["mark", "single.ly", "--output-dir", "build"]) == 2
        said = capsys.readouterr().err
        assert said == f"lyfinger: another process is writing to {build}; nothing is written\n"
        assert list(build.iterdir()) == []
    finally:
        os.close(handle)
    assert main(["mark", "single.ly", "--output-dir", "build"]) == 0
    assert (build / "single.ly").read_bytes() == SINGLE_MARKED


def test_standard_output_that_is_closed(repository: Path) -> None:
    """As a shell closes it: ``lyfinger mark single.ly >&-``."""
    command = f'"{sys.executable}" -m lyfinger mark single.ly >&-'
    done = subprocess.run(["sh", "-c", command], cwd=repository, env=ENVIRONMENT, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 2
    assert done.stderr == b"lyfinger: there is no standard output to write to\n"


def test_an_interruption_from_the_keyboard(run: Run, repository: Path) -> None:
    """Once lyfinger's own code runs, Ctrl-C is one line; the whole time nothing is lost."""
    long = b'\\new Staff = "RH" \\relative { ' + b"c'8 d e f g a b c " * 400 + b"}\n"
    (repository / "single.ly").write_bytes(long)
    process = _start(repository, "mark", "--in-place", "single.ly")
    time.sleep(1)
    process.send_signal(signal.SIGINT)
    _, said = process.communicate()
    if process.returncode == 0:
        assert (repository / "single.ly").read_bytes() != long
    else:
        assert (process.returncode, said) == (2, b"lyfinger: interrupted\n")
        assert (repository / "single.ly").read_bytes() == long
    assert _left_over(repository) == []


_TOLD_WHERE_NOTHING_MAY_BE_RAISED = """
import os, signal, sys, time, weakref
from lyfinger.cli.main import main
from lyfinger.source import replace
class Thing: pass
signal.signal(signal.SIGINT, signal.default_int_handler)
def stage(path, data, real=replace._stage):
    staged = real(path, data)
    thing = Thing()
    reference = weakref.ref(thing, lambda _: os.kill(os.getpid(), int(sys.argv[1])))
    del thing
    time.sleep(5)
    return staged
replace._stage = stage
sys.exit(main(sys.argv[2:]))
"""


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_told_to_end_where_python_forgets_an_exception(repository: Path, number: signal.Signals) -> None:
    """The signal comes while a weak reference's function runs, whose exceptions Python prints and drops."""
    done = subprocess.run(
        [sys.executable, "-c", _TOLD_WHERE_NOTHING_MAY_BE_RAISED, str(int(number)), "mark", "--in-place", "single.ly"],
        cwd=repository,
        env=ENVIRONMENT,
        capture_output=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (2, b"lyfinger: interrupted\n")
    assert (repository / "single.ly").read_bytes() == SINGLE
