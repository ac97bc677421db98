"""``lyfinger mark --keep OLD.ly`` as a user types it."""

from __future__ import annotations

from pathlib import Path

import pytest

from .conftest import NOTES, Run

PRACTISED = b"""\\version "2.24.0"
\\new Staff = "RH" { c'4^3 d'^2 e'^1 f'-1 }
"""


def test_the_digits_of_last_time(run: Run, repository: Path) -> None:
    (repository / "old.ly").write_bytes(PRACTISED)
    result = run("mark", "single.ly", "--keep", "old.ly")
    assert (result.status, result.out, result.err) == (0, PRACTISED, b"")


def test_the_old_file_may_be_the_new_one(run: Run, repository: Path) -> None:
    """What ``make`` does: the target of last time is what is kept, and is then replaced."""
    (repository / "old.ly").write_bytes(PRACTISED)
    assert run("mark", "single.ly", "--keep", "old.ly", "-o", "old.ly").status == 0
    assert (repository / "old.ly").read_bytes() == PRACTISED


def test_a_tree_of_last_time(run: Run, repository: Path) -> None:
    """Its included files are its own, and all of it may be written anew."""
    assert run("mark", "parts/harp.ly", "--output-dir", "build").status == 0
    marked = (repository / "build/notes/tune.ily").read_bytes()
    practised = marked.replace(b"c'4^4 d'^3 e'^2 f'^1", b"c'4^3 d'^2 e'^1 f'^1")
    (repository / "build/notes/tune.ily").write_bytes(practised)
    result = run("mark", "parts/harp.ly", "--keep", "build/parts/harp.ly", "--output-dir", "build")
    assert (result.status, result.err) == (0, b"")
    assert (repository / "build/notes/tune.ily").read_bytes() == practised != marked
    assert (repository / "notes/tune.ily").read_bytes() == NOTES


def test_a_tree_of_last_time_with_a_folder_of_notes(run: Run, repository: Path) -> None:
    """Included through the settings, the notes are those of the tree and not the bare ones."""
    (repository / "lyfinger.toml").write_text('include = ["notes"]\n')
    part = repository / "parts/harp.ly"
    part.write_bytes(part.read_bytes().replace(b"../notes/", b""))
    assert run("mark", "parts/harp.ly", "--output-dir", "build").status == 0
    tune = repository / "build/notes/tune.ily"
    practised = tune.read_bytes().replace(b"c'4^4 d'^3 e'^2 f'^1", b"c'4^3 d'^2 e'^1 f'^1")
    tune.write_bytes(practised)
    result = run("mark", "parts/harp.ly", "--keep", "build/parts/harp.ly", "--output-dir", "build")
    assert (result.status, result.err) == (0, b"")
    assert tune.read_bytes() == practised


def test_a_file_that_was_written_elsewhere_finds_its_includes(run: Run, repository: Path) -> None:
    (repository / "elsewhere/deep").mkdir(parents=True)
    old = repository / "elsewhere/deep/harp.ly"
    old.write_bytes((repository / "parts/harp.ly").read_bytes() + b"% with c'4^1 in a comment\n")
    result = run("mark", "parts/harp.ly", "--keep", "elsewhere/deep/harp.ly")
    assert result.status == 0
    assert "no digit of this earlier marking is kept" in result.lines[0]


@pytest.mark.parametrize("name", ["nothing.ly", "-"])
def test_what_cannot_be_read_is_refused(run: Run, name: str) -> None:
    result = run("mark", "single.ly", "--keep", name)
    assert (result.status, result.out, len(result.lines)) == (2, b"", 1)


def test_the_old_file_stays_as_it_is(run: Run, repository: Path) -> None:
    (repository / "old.ly").write_bytes(PRACTISED)
    run("mark", "--in-place", "single.ly", "--keep", "old.ly")
    assert (repository / "old.ly").read_bytes() == (repository / "single.ly").read_bytes() == PRACTISED
