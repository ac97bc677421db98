"""The sample repository under make and ninja: what is marked and engraved anew after which change.

The engraver here only notes what it is asked for; that the marked tree engraves is tested elsewhere.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from .command import ENSEMBLE, PROJECT, SAMPLES, TEACHING

COMMANDS = {"make": ["make", "-s", "-j2"], "ninja": [sys.executable, "-m", "ninja", "-j2", "--quiet"]}
PIECES = {Path(name).stem for name in (*ENSEMBLE, *TEACHING)}
FERRY = {"ferry-harp", "ferry"}

_PROGRAM = """#!{python}
import os, pathlib, sys
with open(os.environ["BUILD_LOG"], "a") as log:
    print({name!r}, " ".join(sys.argv[1:]), file=log)
{rest}
"""
_LYFINGER = "from lyfinger.cli.main import main\nsys.exit(main())"
_LILYPOND = "pathlib.Path(sys.argv[sys.argv.index('-o') + 1] + '.pdf').touch()"


@dataclass(frozen=True)
class Repository:
    """A copy of the samples, and the tool that builds it."""

    folder: Path
    tool: str

    def build(self, *, fails: bool = False) -> tuple[int, set[str]]:
        """Run the tool; returns how often something was marked, and what was engraved."""
        log = self.folder / "log"
        log.write_text("")
        environment = {
            **os.environ,
            "PATH": f"{self.folder / 'bin'}{os.pathsep}{os.environ['PATH']}",
            "PYTHONPATH": str(PROJECT),
            "BUILD_LOG": str(log),
        }
        done = subprocess.run(
            COMMANDS[self.tool], cwd=self.folder, env=environment, capture_output=True, text=True, timeout=300
        )
        assert (done.returncode != 0) == fails, done.stdout + done.stderr
        lines = [line.split() for line in log.read_text().splitlines()]
        engraved = [Path(words[-1]).stem for words in lines if words[0] == "lilypond"]
        assert len(engraved) == len(set(engraved))
        return sum(words[:2] == ["lyfinger", "mark"] for words in lines), set(engraved)

    def change(self, name: str, more: str = "% more\n") -> None:
        """Add something to the end of a file."""
        path = self.folder / name
        path.write_bytes(path.read_bytes() + more.encode())


@pytest.fixture(scope="module", params=sorted(COMMANDS))
def first(tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> Repository:
    """The samples, built."""
    folder = tmp_path_factory.mktemp(request.param) / "library"
    shutil.copytree(SAMPLES, folder, ignore=shutil.ignore_patterns("build", "pages"))
    (folder / "bin").mkdir()
    for name, rest in (("lyfinger", _LYFINGER), ("lilypond", _LILYPOND)):
        path = folder / "bin" / name
        path.write_text(_PROGRAM.format(python=sys.executable, name=name, rest=rest))
        path.chmod(0o755)
    repository = Repository(folder, request.param)
    assert repository.build() == (2, PIECES)
    assert repository.build() == (0, set())
    return repository


@pytest.fixture
def built(first: Repository, tmp_path: Path) -> Repository:
    """The samples, built, to be changed: times are as they were."""
    shutil.copytree(first.folder, tmp_path / "library")
    return Repository(tmp_path / "library", first.tool)


def test_touched_but_not_changed_nothing_is_engraved(built: Repository) -> None:
    for name in ("Parts/lantern-walk.ly", "lyfinger.toml"):
        built.change(name, "")
        assert built.build() == (1, set())
        assert built.build() == (0, set())


@pytest.mark.parametrize(
    ("name", "markings", "engraved"),
    [
        ("Notes/ferry-harp.ily", 1, FERRY),
        ("Notes/ferry-flute.ily", 1, {"ferry-flute", "ferry"}),
        ("Parts/lantern-walk.ly", 1, {"lantern-walk"}),
        ("global.ily", 2, PIECES),
    ],
)
def test_a_change_is_engraved_where_it_is_read(built: Repository, name: str, markings: int, engraved: set[str]) -> None:
    built.change(name)
    assert built.build() == (markings, engraved)
    assert built.build() == (0, set())


def test_settings_are_read_too(built: Repository) -> None:
    built.change("Teaching/lyfinger.toml", "\n[rules]\nhop = 0\nturn = 0\n")
    markings, engraved = built.build()
    assert markings == 1
    assert engraved <= {"stepping-stones"}
    assert built.build() == (0, set())


def test_an_include_that_goes_is_survived_and_a_new_one_is_seen(built: Repository) -> None:
    (built.folder / "Notes" / "ferry-frame.ily").rename(built.folder / "Notes" / "ferry-bars.ily")
    for name in ("Parts/ferry-flute.ly", "Parts/ferry-harp.ly", "Scores/ferry.ly"):
        path = built.folder / name
        path.write_bytes(path.read_bytes().replace(b"ferry-frame.ily", b"ferry-bars.ily"))
    if built.tool == "ninja":  # what a run writes stands in build.ninja
        path = built.folder / "build.ninja"
        path.write_bytes(path.read_bytes().replace(b"ferry-frame.ily", b"ferry-bars.ily"))
    assert built.build() == (1, {"ferry-flute", *FERRY})
    built.change("Notes/ferry-bars.ily")
    assert built.build() == (1, {"ferry-flute", *FERRY})
    assert built.build() == (0, set())


def test_a_mistake_stops_the_build_until_it_is_mended(built: Repository) -> None:
    before = (built.folder / "Notes" / "ferry-harp.ily").read_bytes()
    built.change("Notes/ferry-harp.ily", "{ c'4\n")
    assert built.build(fails=True) == (1, set())
    assert built.build(fails=True) == (1, set())
    (built.folder / "Notes" / "ferry-harp.ily").write_bytes(before)
    assert built.build() == (1, set())
    assert built.build() == (0, set())


def test_make_and_ninja_write_the_same_tree(built: Repository) -> None:
    by_hand = built.folder / "by-hand"
    for shelf in (ENSEMBLE, TEACHING):
        command = [sys.executable, "-m", "lyfinger", "mark", *shelf, "--root", ".", "--output-dir", "by-hand"]
        subprocess.run(command, cwd=built.folder, check=True, env={**os.environ, "PYTHONPATH": str(PROJECT)})
    for path in by_hand.rglob("*"):
        if path.is_file():
            assert (built.folder / "build" / path.relative_to(by_hand)).read_bytes() == path.read_bytes()
