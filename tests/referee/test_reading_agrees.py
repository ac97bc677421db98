"""What ``lyfinger notes`` reads is what the typesetter prints: every note of every fixture and sample."""

from __future__ import annotations

import io
import json
import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from lyfinger.cli.main import main
from tests.corpus.judge import Outcome, judge

from .agreement import Row, compare
from .engraver import version
from .events import played, rule

ROOT = Path(__file__).resolve().parents[2]
FIXTURES = sorted((ROOT / "tests" / "fixtures" / "reading").glob("*.ly"))
SAMPLES = sorted(path for path in (ROOT / "samples").rglob("*.ly"))

NAMED_BY_A_WARNING = {
    "functions-that-take-more-than-music": 13,
    "harmonics-by-fret-and-rare-transformations": 10,
    "music-functions-that-change-their-music": 5,
    "music-played-backwards": 31,
    "music-pushed-into-tags": 8,
    "parallel-music-behind-a-function": 12,
    "quoted-and-cue-music": 2,
    "scheme-that-makes-and-prints-music": 10,
    "vocal-kit-with-a-template-of-its-own": 8,
    "time-of-percussion-between-notes": 4,
}
"""Fixtures of constructs that are not followed, with the notes that stay unread. Nothing else may differ."""

FOLLOWED = [path for path in FIXTURES if path.stem not in NAMED_BY_A_WARNING]

BEATS_OF_A_PLAYER = {
    "afterthoughts-after-long-rests": 1,
    "barchecks-partials-and-cadenzas": 2,
    "bars-counted-by-each-staff": 1,
    "compound-metres-and-borrowed-fractions": 20,
    "notes-split-at-bar-lines": 1,
    "time-changes-in-one-staff-only": 1,
}
"""Notes whose beat lyfinger names otherwise than the typesetter; bar numbers agree.

In the very time step of a ``\\partial`` in mid-piece the typesetter still shows the old position, one step later the
new one, which is the one that lyfinger gives from the start. In 3+2+3 eighths its unit is the sum, 1/1, lyfinger's the
eighth; under a time signature of one staff's own, lyfinger's is that of all. ``Bar.engraved_beat`` is the typesetter's.
"""

BARS_OF_OLDER = {"bars-counted-by-each-staff": 4}
"""Notes whose bar number 2.24 tells otherwise than 2.25, and of which lyfinger says what 2.25 says.

A staff that begins in mid-piece and counts by itself went on from the count of the whole score in 2.24.
"""


def bars_told_otherwise(path: Path) -> int:
    return BARS_OF_OLDER.get(path.stem, 0) if version().startswith("2.24.") else 0


def _but_beat(row: Row, older: int) -> Row:
    return replace(row, beat=Fraction(0), bar=0 if older else row.bar)


def notes_read(path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, object]:
    """The JSON of ``lyfinger notes``, called in this process."""
    caught = io.TextIOWrapper(io.BytesIO(), encoding="utf-8")
    monkeypatch.setattr(sys, "stdout", caught)
    status = main(["notes", str(path), "--format", "json"])
    monkeypatch.undo()
    assert status == 0, f"lyfinger notes ended with status {status}"
    caught.seek(0)
    reading: dict[str, object] = json.load(caught)
    return reading


def test_there_is_enough_to_agree_on() -> None:
    assert len(FIXTURES) >= 40


@pytest.mark.parametrize("path", FOLLOWED, ids=lambda path: path.stem)
def test_fixture(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    agreement = compare(notes_read(path, monkeypatch), played(path))
    assert agreement.notes > 0
    older = bars_told_otherwise(path)
    read_otherwise = [_but_beat(row, older) for row in agreement.extra]
    assert read_otherwise == [_but_beat(row, older) for row in agreement.missing], agreement.explain()
    assert len(read_otherwise) == BEATS_OF_A_PLAYER.get(path.stem, 0) + older, agreement.explain()
    assert not agreement.tied, agreement.explain()


@pytest.mark.parametrize("name", BEATS_OF_A_PLAYER)
def test_the_typesetters_own_beats_are_known_too(name: str) -> None:
    path = ROOT / "tests" / "fixtures" / "reading" / f"{name}.ly"
    verdict = judge(name, path, rule(path))
    older = bars_told_otherwise(path)
    assert (verdict.missing, verdict.extra, verdict.tied) == (older, older, 0)
    assert older or verdict.outcome is Outcome.EXACT


@pytest.mark.parametrize(("name", "unread"), NAMED_BY_A_WARNING.items(), ids=str)
def test_unread_notes_lie_in_a_passage_that_a_warning_names(name: str, unread: int) -> None:
    path = ROOT / "tests" / "fixtures" / "reading" / f"{name}.ly"
    verdict = judge(name, path, rule(path))
    assert (verdict.missing, verdict.extra, verdict.tied) == (0, 0, 0), verdict.differences
    assert verdict.warned == unread


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_sample(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    agreement = compare(notes_read(path, monkeypatch), played(path))
    assert agreement.exact, agreement.explain()
