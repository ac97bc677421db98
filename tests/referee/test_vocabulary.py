"""The two data files in ``grammar/`` are what the typesetter says today, and say what is known of it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .vocabulary import GRAMMAR, main

PITCHES = json.loads((GRAMMAR / "pitchnames.json").read_text("utf-8"))
WORDS = json.loads((GRAMMAR / "vocabulary.json").read_text("utf-8"))


def test_both_files_are_as_the_typesetter_gives_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.argv", ["vocabulary", "--output", str(tmp_path)])
    main()
    for name in ("pitchnames.json", "vocabulary.json"):
        assert (tmp_path / name).read_bytes() == (GRAMMAR / name).read_bytes()


@pytest.mark.parametrize(
    ("language", "name", "step", "alter"),
    [
        ("nederlands", "ees", 2, -1),
        ("nederlands", "es", 2, -1),
        ("deutsch", "h", 6, 0),
        ("deutsch", "b", 6, -1),
        ("english", "c-sharp", 0, 1),
        ("english", "f-flatflat", 3, -2),
        ("français", "ré", 1, 0),
        ("italiano", "sold", 4, 1),
        ("nederlands", "cih", 0, "1/2"),
    ],
)
def test_pitch_names(language: str, name: str, step: int, alter: int | str) -> None:
    """From memory of the manual's table of note names."""
    assert PITCHES["languages"][language][name] == [-1, step, alter]


@pytest.mark.parametrize(
    ("name", "facts"),
    [
        ("fermata", {"kind": "post-event", "class": "ArticulationEvent", "articulation-type": "fermata"}),
        ("break", {"kind": "music", "class": "LineBreakEvent"}),
        ("(", {"kind": "post-event", "class": "SlurEvent", "span": "start"}),
        ("breve", {"kind": "duration", "length": "2"}),
        ("finger", {"kind": "event-function", "arguments": [["index-or-markup?", False]]}),
        ("language", {"kind": "void-function", "arguments": [["string?", False]]}),
    ],
)
def test_words(name: str, facts: dict[str, object]) -> None:
    """From the typesetter's own ly/*.ly files, read by eye."""
    assert WORDS["identifiers"][name] == facts


def test_functions_tell_their_arguments_and_what_they_return() -> None:
    tuplet = WORDS["identifiers"]["tuplet"]
    assert tuplet["arguments"] == [["fraction?", False], ["ly:duration?", True], ["ly:music?", False]]
    assert (tuplet["returns"], tuplet["of-post-event"]) == ("music", "music")
    assert WORDS["identifiers"]["tweak"]["of-post-event"] == "post-event"


def test_reserved_words_are_no_identifiers() -> None:
    assert {"new", "repeat", "rest", "lyricsto", "include", "with"} <= set(WORDS["reserved"])
    assert not set(WORDS["reserved"]) & set(WORDS["identifiers"])


def test_old_names_have_successors() -> None:
    known = set(WORDS["identifiers"]) | set(WORDS["reserved"])
    for old, entry in WORDS["renamed"].items():
        assert old not in known
        assert entry["now"] in known
