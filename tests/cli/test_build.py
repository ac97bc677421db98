"""``lyfinger mark`` under make and ninja: dependencies, stamp, times, several processes, failures, interruptions."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from .conftest import NOTES_MARKED, PART, PROJECT, SCORE, SINGLE, SINGLE_MARKED, Result, Run, snapshot

OLD = 1_000_000_000
BROKEN = b"\\version \"2.24.0\"\n{ c'4 d' \n"
TREE = ["mark", "parts/harp.ly", "scores/full.ly", "single.ly", "--output-dir", "build"]


def _age(folder: Path) -> None:
    for path in folder.rglob("*"):
        os.utime(path, (OLD, OLD))


def _renewed(folder: Path) -> set[str]:
    return {
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.is_file() and path.stat().st_mtime != OLD
    }


def test_the_depfile_lists_all_that_was_read(run: Run, repository: Path) -> None:
    (repository / "lyfinger.toml").write_bytes(b'include = ["more"]\n')
    (repository / "more").mkdir()
    (repository / "more" / "some tune.ily").write_bytes(b"more = { g' }\n")
    (repository / "parts" / "harp.ly").write_bytes(b'\\include "some tune.ily"\n' + PART)
    assert run("mark", "parts/harp.ly", "-o", "out.ly", "--depfile", "out.d").status == 0
    assert (repository / "out.d").read_bytes() == (
        b"out.ly: \\\n lyfinger.toml \\\n parts/harp.ly \\\n more/some\\ tune.ily \\\n notes/tune.ily\n"
        b"\nlyfinger.toml:\n\nparts/harp.ly:\n\nmore/some\\ tune.ily:\n\nnotes/tune.ily:\n"
    )


def test_the_depfile_of_a_tree_lists_pictures_and_earlier_markings(run: Run, repository: Path) -> None:
    (repository / "harp.eps").write_bytes(b"%!PS-Adobe-3.0 EPSF-3.0\n")
    (repository / "single.ly").write_bytes(b'\\markup \\epsfile #X #10 #"harp.eps"\n' + SINGLE)
    (repository / "old.ly").write_bytes(SINGLE_MARKED)
    assert run("mark", "single.ly", "--keep", "old.ly", "--output-dir", "build", "--depfile", "build.d").status == 0
    first = (repository / "build.d").read_bytes().split(b"\n\n")[0]
    assert first == b"build/single.ly: \\\n single.ly \\\n harp.eps \\\n old.ly"


def test_what_is_written_is_no_dependency_of_itself(run: Run, repository: Path) -> None:
    (repository / "out.ly").write_bytes(SINGLE_MARKED)
    assert run("mark", "single.ly", "--keep", "out.ly", "-o", "out.ly", "--depfile", "out.d").status == 0
    assert (repository / "out.d").read_bytes() == b"out.ly: \\\n single.ly\n\nsingle.ly:\n"


def test_a_file_is_listed_by_every_name_that_it_was_read_by(run: Run, repository: Path) -> None:
    (repository / "parts" / "tune.ily").symlink_to("../notes/tune.ily")
    (repository / "parts" / "harp.ly").write_bytes(PART.replace(b"../notes/tune.ily", b"tune.ily"))
    assert run(*TREE, "--depfile", "build.d").status == 0
    listed = (repository / "build.d").read_bytes().split(b"\n\n")[0]
    assert b" parts/tune.ily" in listed
    assert b" notes/tune.ily" in listed


def test_the_target_is_the_stamp_where_there_is_one(run: Run, repository: Path) -> None:
    assert run(*TREE, "--depfile", "build/d", "--stamp", "build/done").status == 0
    assert (repository / "build" / "d").read_bytes().startswith(b"build/done: \\\n parts/harp.ly")
    assert (repository / "build" / "done").read_bytes() == b""


def test_a_tree_keeps_the_times_of_what_stays_and_renews_the_stamp(run: Run, repository: Path) -> None:
    arguments = (*TREE, "--depfile", "build/d", "--stamp", "build/done")
    assert run(*arguments).status == 0
    _age(repository / "build")
    assert run(*arguments).status == 0
    assert _renewed(repository / "build") == {"d", "done"}
    (repository / "single.ly").write_bytes(SINGLE + b"% more\n")
    _age(repository / "build")
    assert run(*arguments).status == 0
    assert _renewed(repository / "build") == {"d", "done", "single.ly", ".lyfinger/single.ly.json"}


def test_the_stamp_is_the_newest_of_all(run: Run, repository: Path) -> None:
    assert run(*TREE, "--depfile", "build/d", "--stamp", "build/done").status == 0
    stamp = (repository / "build" / "done").stat().st_mtime_ns
    assert all(path.stat().st_mtime_ns <= stamp for path in (repository / "build").rglob("*") if path.is_file())


def test_one_output_is_renewed_unless_a_stamp_is(run: Run, repository: Path) -> None:
    assert run("mark", "single.ly", "-o", "out.ly").status == 0
    _age(repository)
    assert run("mark", "single.ly", "-o", "out.ly").status == 0
    assert _renewed(repository) == {"out.ly"}
    _age(repository)
    assert run("mark", "single.ly", "-o", "out.ly", "--stamp", "done").status == 0
    assert _renewed(repository) == {"done"}


def test_what_an_engraving_depends_on(run: Run, repository: Path) -> None:
    assert run(*TREE, "--engraved", ".pdf").status == 0
    assert (repository / "build" / "single.d").read_bytes() == (
        b"build/single.pdf: \\\n build/single.ly\n\nbuild/single.ly:\n"
    )
    first = (repository / "build" / "parts" / "harp.d").read_bytes().split(b"\n\n")[0]
    assert first == b"build/parts/harp.pdf: \\\n build/parts/harp.ly \\\n build/notes/tune.ily"


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["single.ly", "--depfile", "d"], "mark: --depfile needs a target: -o OUT, --output-dir or --stamp"),
        (["single.ly", "-o", "-", "--depfile", "d"], "mark: --depfile needs a target"),
        (["single.ly", "--diff", "--stamp", "s"], "mark: --stamp goes with -o OUT, --output-dir or --in-place"),
        (["single.ly", "-o", "o.ly", "--engraved", ".pdf"], "mark: --engraved goes with --output-dir"),
        (["single.ly", "-o", "o.ly", "--depfile", "o.ly"], "must be different files"),
        (["single.ly", "-o", "o.ly", "--depfile", "single.ly"], "single.ly is a source of this run"),
        (["single.ly", "--in-place", "--stamp", "./single.ly"], "single.ly is a source of this run"),
        (["single.ly", "-o", "a=b", "--depfile", "d"], "a=b: make can't read this name in a dependency file"),
        (["single.ly", "--output-dir", "build", "--engraved", "pdf"], "pdf is not the ending of a file name"),
        (["single.ly", "-o", "o.ly", "--jobs", "-1"], "-1 is not a number of processes"),
    ],
)
def test_misuse_is_refused_and_touches_nothing(run: Run, repository: Path, arguments: list[str], line: str) -> None:
    before = snapshot(repository)
    result = run("mark", *arguments)
    assert (result.status, result.out, len(result.lines)) == (2, b"", 1)
    assert line in result.lines[0]
    assert snapshot(repository) == before


def test_files_that_cant_be_read_are_refused_and_the_rest_is_marked(run: Run, repository: Path) -> None:
    (repository / "broken.ly").write_bytes(BROKEN)
    (repository / "lost.ly").write_bytes(b'\\include "nowhere.ily"\n' + SINGLE)
    (repository / "sub").mkdir()
    (repository / "sub" / "lyfinger.toml").write_bytes(b'hand = "huge"\n')
    (repository / "sub" / "a.ly").write_bytes(SINGLE)
    (repository / "sub" / "b.ly").write_bytes(SINGLE)
    files = ["broken.ly", "parts/harp.ly", "gone.ly", "lost.ly", "sub/a.ly", "single.ly", "sub/b.ly"]
    result = run("mark", *files, "--output-dir", "build", "--root", ".", "--stamp", "done", "--depfile", "d")
    assert (result.status, result.out) == (2, b"")
    assert [line.split(" error: ")[0] for line in result.lines] == [
        "broken.ly:2:1:",
        "lyfinger: can't read gone.ly: No such file or directory",
        "lost.ly:1:1:",
        "sub/lyfinger.toml:1:1:",
    ]
    assert snapshot(repository / "build") == {
        "parts/harp.ly": PART,
        "notes/tune.ily": NOTES_MARKED,
        "single.ly": SINGLE_MARKED,
    }
    assert not (repository / "done").exists()
    assert not (repository / "d").exists()


def test_the_rest_is_marked_in_place_and_as_a_difference_too(run: Run, repository: Path) -> None:
    (repository / "broken.ly").write_bytes(BROKEN)
    result = run("mark", "--diff", "broken.ly", "single.ly")
    assert (result.status, len(result.lines)) == (2, 1)
    assert result.out.startswith(b"--- single.ly")
    result = run("mark", "--in-place", "broken.ly", "single.ly")
    assert (result.status, len(result.lines)) == (2, 1)
    assert (repository / "single.ly").read_bytes() == SINGLE_MARKED
    assert (repository / "broken.ly").read_bytes() == BROKEN


def test_one_mistake_in_a_shared_file_is_said_once(run: Run, repository: Path) -> None:
    (repository / "notes" / "tune.ily").write_bytes(BROKEN)
    result = run(*TREE)
    assert (result.status, len(result.lines)) == (2, 1)
    assert snapshot(repository / "build") == {"single.ly": SINGLE_MARKED}


def test_the_rest_is_checked(run: Run, repository: Path) -> None:
    (repository / "broken.ly").write_bytes(BROKEN)
    (repository / "wide.ly").write_bytes(SINGLE.replace(b"f'-1", b"<c' a''>1"))
    result = run("check", "broken.ly", "wide.ly")
    assert (result.status, len(result.lines)) == (2, 1)
    assert result.out.startswith(b"wide.ly:2:")


def _some_repository(folder: Path) -> list[str]:
    """Fifteen scores: five that share notes, nine alone (some with something to warn of), one that can't be read."""
    (folder / "notes.ily").write_bytes(b"tune = { c'8 e' g' c'' e'' c'' g' e' <c' e' g' c''>1 }\n")
    names = []
    for number in range(15):
        shared = b'\\include "notes.ily"\n\\new Staff = "RH" { \\tune }\n'
        alone = b"\\new Staff = \"RH\" { c'8 d' e' f' g' a' b' c'' <c' a''>2 \\odd%d { c' } }\n" % number
        data = BROKEN if number == 7 else shared if number % 3 == 0 else alone
        (folder / f"s{number:02}.ly").write_bytes(b'\\version "2.24.0"\n' + data)
        names.append(f"s{number:02}.ly")
    return names


@pytest.mark.parametrize("jobs", ["2", "5", "0"])
def test_several_processes_give_the_same_bytes_and_messages(run: Run, repository: Path, jobs: str) -> None:
    names = _some_repository(repository)
    one = run("mark", *names, "--output-dir", "one", "--depfile", "d", "--jobs", "1")
    several = run("mark", *names, "--output-dir", "several", "--depfile", "d", "--jobs", jobs)
    assert one.status == 2
    assert len(one.lines) > 15
    assert (several.status, several.lines) == (one.status, one.lines)
    assert snapshot(repository / "several") == snapshot(repository / "one")
    assert b"^" in (repository / "one" / "notes.ily").read_bytes()


def test_a_process_that_dies_is_refused_in_one_line(repository: Path) -> None:
    names = _some_repository(repository)
    script = (
        "import os, sys\n"
        "from lyfinger.marking import player\n"
        "from lyfinger.cli.main import main\n"
        "place, first = player.place, os.getpid()\n"
        "player.place = lambda *a: place(*a) if os.getpid() == first else os._exit(1)\n"
        "sys.exit(main(sys.argv[1:]))\n"
    )
    result = _script(repository, script, "mark", *names[:6], "--output-dir", "out", "--jobs", "3")
    assert result.status == 2
    assert result.lines == ["lyfinger: a process of --jobs came to an untimely end; nothing is written"]
    assert not (repository / "out").exists()


def _script(folder: Path, script: str, *arguments: str) -> Result:
    environment = {**os.environ, "PYTHONPATH": str(PROJECT), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments], cwd=folder, env=environment, capture_output=True, timeout=120
    )
    return Result(done.returncode, done.stdout, done.stderr)


_STOPPED = """
import os, signal, sys
from lyfinger.cli.main import main
number, call, left = int(sys.argv[1]), sys.argv[2], [int(sys.argv[3])]
def stopped(*arguments, real=getattr(os, call), **more):
    left[0] -= 1
    if left[0] < 0:
        os.kill(os.getpid(), number)
    return real(*arguments, **more)
setattr(os, call, stopped)
signal.signal(signal.SIGINT, signal.default_int_handler)  # what a shell starts in the background is deaf to it
sys.exit(main(sys.argv[4:]))
"""


@pytest.mark.parametrize("signal", ["9", "15", "2"])
@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_stopped_at_any_moment_of_writing_there_is_no_half_file(
    run: Run, repository: Path, signal: str, call: str
) -> None:
    """Killed, told to end, interrupted: before each single file is on disk, and before each gets its name."""
    arguments = (*TREE, "--stamp", "build/~done", "--depfile", "build/d")
    assert run(*arguments).status == 0
    old = snapshot(repository / "build")
    (repository / "single.ly").write_bytes(SINGLE + b"% more\n")
    (repository / "scores" / "full.ly").write_bytes(SCORE + b"% more\n")
    for moment in range(20):
        _age(repository / "build")
        result = _script(repository, _STOPPED, signal, call, str(moment), *arguments)
        found = snapshot(repository / "build")
        whole = {name: data for name, data in found.items() if not name.endswith(".tmp")}
        assert whole.keys() == old.keys()
        assert all(data in (old[name], old[name] + b"% more\n") for name, data in whole.items())
        if result.status == 0:
            break
        assert (repository / "build" / "~done").stat().st_mtime == OLD
        if signal != "9":
            assert result == Result(2, b"", b"lyfinger: interrupted\n")
            assert found == whole, "nothing temporary stays"
        for path in (repository / "build").glob("**/.*.tmp"):
            path.unlink()
        for name, data in old.items():
            (repository / "build" / name).write_bytes(data)
    else:
        pytest.fail("it never came to an end")
    assert moment > 4
    assert whole["single.ly"] == SINGLE_MARKED + b"% more\n"


def test_where_the_target_is_new_so_are_its_dependencies(repository: Path) -> None:
    """Without a stamp make hangs on OUT; killed between the two, it must mark again."""
    (repository / "out.ly").write_bytes(b"old")
    result = _script(
        repository, _STOPPED, "9", "replace", "1", "mark", "single.ly", "-o", "out.ly", "--depfile", "out.d"
    )
    assert result.status == -9
    assert (repository / "out.ly").read_bytes() == b"old"
    assert (repository / "out.d").exists()
