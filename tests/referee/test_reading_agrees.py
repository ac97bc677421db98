"""What ``lyfinger notes`` reads is what the typesetter prints: every note of every fixture and sample."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from lyfinger.cli.main import main

from .agreement import compare
from .events import played

ROOT = Path(__file__).resolve().parents[2]
FIXTURES = sorted((ROOT / "tests" / "fixtures" / "reading").glob("*.ly"))
SAMPLES = sorted(path for path in (ROOT / "samples").rglob("*.ly"))


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


@pytest.mark.parametrize("path", FIXTURES, ids=lambda path: path.stem)
def test_fixture(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    agreement = compare(notes_read(path, monkeypatch), played(path))
    assert agreement.notes > 0
    assert agreement.exact, agreement.explain()


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_sample(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    agreement = compare(notes_read(path, monkeypatch), played(path))
    assert agreement.exact, agreement.explain()
