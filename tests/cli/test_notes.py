"""``lyfinger notes``: the table and the JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .conftest import Result, Run

MUSIC = """\
\\version "2.24.0"
\\new PianoStaff <<
\t\\new Staff = "RH" { \\time 3/4 <c' es'-3>8. \\grace d'16 fis''2 ~ fis''16 | ceh'4 }
\t\\new Staff = "Straße" { \\clef bass bes,4 s2 | s4 }
>>
"""


@pytest.fixture
def music(repository: Path) -> Path:
    path = repository / "music.ly"
    path.write_bytes(MUSIC.encode())
    return path


def test_json_has_every_field(run: Run, music: Path) -> None:
    """The numbers are those of the typesetter's own note events for this file (LilyPond 2.25.12)."""
    result = run("notes", "music.ly", "--format", "json")
    assert result.status == 0
    assert "Straße".encode() in result.out
    notes = json.loads(result.out)["notes"]
    rows = [
        (n["line"], n["column"], n["bar"], n["beat"], n["moment"], n["grace"], n["duration"], n["staff"], n["tied"])
        for n in notes
    ]
    assert rows == [
        (3, 40, 1, "1", "0", "0", "3/16", "RH", False),
        (3, 43, 1, "1", "0", "0", "3/16", "RH", False),
        (4, 44, 1, "1", "0", "0", "1/4", "Straße", False),
        (3, 59, 1, "7/4", "3/16", "-1/16", "1/16", "RH", False),
        (3, 64, 1, "7/4", "3/16", "0", "1/2", "RH", False),
        (3, 73, 1, "15/4", "11/16", "0", "1/16", "RH", True),
        (3, 83, 2, "1", "3/4", "0", "1/4", "RH", False),
    ]
    assert {n["file"] for n in notes} == {"music.ly"}
    assert {n["score"] for n in notes} == {1}
    pitches = [(n["pitch"]["step"], n["pitch"]["alter"], n["pitch"]["octave"]) for n in notes]
    assert pitches == [
        ("C", 0, 4), ("E", -1, 4), ("B", -1, 2), ("D", 0, 4), ("F", 1, 5), ("F", 1, 5), ("C", -0.5, 4),
    ]  # fmt: skip
    assert list(notes[0]) == [
        "file", "line", "column", "score", "bar", "beat", "moment", "grace", "duration", "staff", "voice", "pitch",
        "hand", "tied", "finger", "origin", "placing",
    ]  # fmt: skip


def test_json_says_where_a_digit_comes_from(run: Run, repository: Path) -> None:
    result = run("notes", "single.ly", "--format", "json")
    notes = json.loads(result.out)["notes"]
    found = [(n["hand"], n["finger"], n["origin"]) for n in notes]
    assert found == [
        ("right", 4, "suggested"),
        ("right", 3, "suggested"),
        ("right", 2, "suggested"),
        ("right", 1, "locked"),
    ]
    assert len({n["placing"] for n in notes}) == 1


def test_a_tied_note_has_no_finger_and_no_placing(run: Run, music: Path) -> None:
    notes = json.loads(run("notes", "music.ly", "--format", "json").out)["notes"]
    (tied,) = (n for n in notes if n["tied"])
    assert (tied["hand"], tied["finger"], tied["origin"], tied["placing"]) == ("right", None, None, None)


def test_the_table_is_aligned(run: Run) -> None:
    result = run("notes", "single.ly")
    assert (result.status, result.err) == (0, b"")
    lines = result.out.decode().splitlines()
    assert lines[0].split() == [
        "place",
        "bar",
        "beat",
        "staff",
        "voice",
        "pitch",
        "length",
        "hand",
        "finger",
        "placing",
    ]
    assert [line.split()[0] for line in lines[1:]] == [f"single.ly:2:{column}" for column in (21, 25, 28, 31)]
    assert {line.index("right") for line in lines[1:]} == {lines[0].index("hand")}
    assert all(line == line.rstrip() for line in lines)


def test_included_notes_are_named_by_their_file(run: Run) -> None:
    notes = json.loads(run("notes", "parts/harp.ly", "--format", "json").out)["notes"]
    assert {n["file"] for n in notes} == {"notes/tune.ily"}


def test_a_file_without_music(run: Run) -> None:
    assert json.loads(run("notes", "-", "--format", "json", stdin=b"").out) == {"notes": []}
    assert len(run("notes", "-", stdin=b"").out.splitlines()) == 1


def test_output_is_the_same_each_time(run: Run, music: Path) -> None:
    first = run("notes", "music.ly", "--format", "json")
    assert run("notes", "music.ly", "--format", "json") == first


def test_a_missing_file(run: Run) -> None:
    line = b"lyfinger: can't read nothing.ly: No such file or directory\n"
    assert run("notes", "nothing.ly") == Result(2, b"", line)
