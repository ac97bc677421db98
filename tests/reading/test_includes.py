"""Includes that are missing, in a circle, read twice, or nested too deeply."""

from __future__ import annotations

from pathlib import Path

import pytest

from lyfinger.source.messages import Refused
from tests.whole.command import lyfinger

from .heard import heard, reading_in, told


def test_a_missing_include_is_refused_with_its_place(tmp_path: Path) -> None:
    with pytest.raises(Refused, match=r"^a\.ly:2:3: error: .*nosuch\.ily"):
        reading_in(tmp_path, {"a.ly": "{ c'4\n  \\include \"nosuch.ily\" d' }"}, "a.ly")


def test_a_missing_include_says_where_it_was_looked_for(tmp_path: Path) -> None:
    """Beside the including file, as that was named; in the folders for includes; in the working directory."""
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "a.ly").write_text('\\include "no.ily"')
    done = lyfinger("notes", "parts/a.ly", "-I", "notes", folder=tmp_path)
    assert done.err == (
        'parts/a.ly:1:1: error: cannot find the file "no.ily" that is included here; looked in parts, notes, .\n'
    )


def test_a_missing_include_of_an_include(tmp_path: Path) -> None:
    with pytest.raises(Refused, match=r"^b\.ily:1:1: error: .*nosuch\.ily"):
        reading_in(tmp_path, {"a.ly": '\\include "b.ily"', "b.ily": '\\include "nosuch.ily"'}, "a.ly")


@pytest.mark.parametrize(
    "files", [{"a.ly": '{ c\'4 }\n\\include "a.ly"'}, {"a.ly": '\\include "b.ily"', "b.ily": '\n \\include "a.ly"'}]
)
def test_a_circle_is_refused_with_its_place(files: dict[str, str], tmp_path: Path) -> None:
    with pytest.raises(Refused, match=r"^(a\.ly:2:1|b\.ily:2:2): error: "):
        reading_in(tmp_path, files, "a.ly")


def test_a_long_chain_of_includes_is_read(tmp_path: Path) -> None:
    count = 300
    files = {f"{number}.ily": f'\\include "{number + 1}.ily"' for number in range(count)}
    files |= {f"{count}.ily": "{ c'4 }", "a.ly": '\\include "0.ily"'}
    assert heard(reading_in(tmp_path, files, "a.ly")) == "c4@0"


def test_one_file_twice(tmp_path: Path) -> None:
    """It is one file: its notes sound twice, and each is one source note."""
    files = {"a.ly": '{ \\include "b.ily" \\include "b.ily" }', "b.ily": "c'4 d'"}
    reading = reading_in(tmp_path, files, "a.ly")
    assert heard(reading) == "c4@0 d4@1/4 c4@1/2 d4@3/4"
    assert [file.name for file in reading.files] == ["a.ly", "b.ily"]
    notes = reading.scores[0].notes
    assert notes[0].source.place == notes[2].source.place


def test_one_file_twice_in_two_languages(tmp_path: Path) -> None:
    """Token order: the language that holds where the file is included."""
    files = {"a.ly": '{ \\include "b.ily" } \\language "deutsch" { \\include "b.ily" }', "b.ily": "b'4"}
    assert heard(reading_in(tmp_path, files, "a.ly")) == "b4@0 bb4@0"


def test_an_include_takes_its_variables_along(tmp_path: Path) -> None:
    files = {"a.ly": '\\include "sub/b.ily" { \\x }', "sub/b.ily": '\\include "c.ily"', "sub/c.ily": "x = { c'4 }"}
    reading = reading_in(tmp_path, files, "a.ly")
    assert heard(reading) == "c4@0"
    assert told(reading) == []


def test_an_include_that_opens_what_another_closes_is_no_traceback(tmp_path: Path) -> None:
    for name, text in {"a.ly": '\\include "b.ily" c\'4 }', "b.ily": "{"}.items():
        (tmp_path / name).write_text(text)
    result = lyfinger("mark", "a.ly", folder=tmp_path)
    assert result.status in (0, 2)
    assert "internal error" not in result.err
