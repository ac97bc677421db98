"""``lyfinger clear`` as a user types it: exit status, both streams, bytes on disk."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from .conftest import NOTES, NOTES_MARKED, PART, SINGLE, SINGLE_MARKED, Result, Run, snapshot

BARE = SINGLE.replace(b"f'-1", b"f'")


def test_one_file_goes_to_standard_output(run: Run, repository: Path) -> None:
    before = snapshot(repository)
    assert run("clear", "single.ly") == Result(0, BARE, b"")
    assert run("clear", "-", stdin=SINGLE_MARKED) == Result(0, BARE, b"")
    assert snapshot(repository) == before


def test_output_to_a_file_and_in_place(run: Run, repository: Path) -> None:
    assert run("clear", "single.ly", "-o", "out.ly") == Result(0, b"", b"")
    assert (repository / "out.ly").read_bytes() == BARE
    assert run("clear", "single.ly", "--in-place") == Result(0, b"", b"")
    assert (repository / "single.ly").read_bytes() == BARE


def test_a_difference(run: Run) -> None:
    result = run("clear", "single.ly", "--diff")
    assert (result.status, b"-\\new Staff = \"RH\" { c'4 d' e' f'-1 }" in result.out) == (1, True)
    assert run("clear", "-", "--diff", stdin=BARE) == Result(0, b"", b"")


def test_included_digits_need_a_tree_or_in_place(run: Run, repository: Path) -> None:
    (repository / "notes" / "tune.ily").write_bytes(NOTES_MARKED)
    result = run("clear", "parts/harp.ly")
    assert (result.status, result.out) == (0, PART)
    assert result.lines == [
        "parts/harp.ly: 8 digits lie in included files and stay as they are "
        "(--output-dir or --in-place clears them too)"
    ]
    assert run("clear", "parts/harp.ly", "--output-dir", "build") == Result(0, b"", b"")
    assert snapshot(repository / "build") == {"notes/tune.ily": NOTES, "parts/harp.ly": PART}
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES_MARKED
    assert run("clear", "parts/harp.ly", "--in-place") == Result(0, b"", b"")
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES


def test_what_a_score_still_sounds_from_stays(run: Run, repository: Path) -> None:
    """Both in one run, and only the score's staves are chosen: the part sounds from the same digits."""
    (repository / "notes" / "tune.ily").write_bytes(NOTES_MARKED)
    other = PART.replace(b"RH", b"upper").replace(b"LH", b"lower")
    (repository / "parts" / "other.ly").write_bytes(other)
    result = run("clear", "parts/harp.ly", "parts/other.ly", "--in-place", "--staves", "upper,lower")
    assert result.status == 0
    assert len(result.lines) == 8
    assert all(line.endswith("[not-cleared]") for line in result.lines)
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES_MARKED


@pytest.mark.parametrize("ends", [b"\n", b"\r\n"])
def test_cleared_and_marked_again_is_as_marked(run: Run, ends: bytes) -> None:
    """Where no digit was the engraver's own, the same ones come again, and each byte with them."""
    bare = b"\xef\xbb\xbf" + BARE.replace(b"\n", ends) + b"% \xff\t\xc3\xa9"
    marked = run("mark", "-", stdin=bare).out
    assert marked != bare
    assert run("clear", "-", stdin=marked) == Result(0, bare, b"")
    assert run("mark", "-", stdin=run("clear", "-", "--bars", "1", stdin=marked).out).out == marked


def test_misuse_is_refused_in_one_line(run: Run) -> None:
    several = run("clear", "single.ly", "parts/harp.ly")
    assert (several.status, several.lines) == (
        2,
        ["lyfinger: clear: several FILEs need --output-dir, --in-place or --diff"],
    )
    assert run("clear", "-", "--in-place", stdin=SINGLE).lines == [
        "lyfinger: clear: standard input can't be marked in place"
    ]
    assert run("clear", "nothing.ly").status == 2


def test_a_file_that_can_not_be_written_keeps_its_digits(run: Run, repository: Path) -> None:
    os.link(repository / "single.ly", repository / "kept.ly")
    assert run("clear", "single.ly", "-o", "nowhere/out.ly").status == 2
    assert (repository / "kept.ly").read_bytes() == SINGLE
