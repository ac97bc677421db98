"""The comparison over many files: what it gathers, keeps, and concludes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.referee import events

from .__main__ import compare_all
from .__main__ import main as run
from .gather import digest, gather, neutral
from .judge import Outcome, constructs, judge
from .rulings import ruling
from .sample import pick, sample_digests
from .table import as_json, reasons, report, totals

BOOK = b"""%% Options: [indent=0]
\\include "lilypond-book-preamble.ly"
\\paper { indent = 0 }
\\sourcefilename "far/away.ly"
\\sourcefileline 0
\\version "2.24.0"
{ c'4 d' }
"""


def write(folder: Path, name: str, text: str | bytes) -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def score(music: str) -> str:
    return f'\\version "2.24.0"\n{music}\n'


def test_neutral_source_keeps_every_place() -> None:
    plain = neutral(BOOK)
    assert [len(line) for line in plain.split(b"\n")] == [len(line) for line in BOOK.split(b"\n")]
    assert plain.count(b"\\") == 2
    assert b"\\version" in plain
    assert b"\\paper" in plain


def test_each_music_is_gathered_once(tmp_path: Path) -> None:
    write(tmp_path, "in/a/one.ly", BOOK)
    write(tmp_path, "in/b/same.ly", BOOK.replace(b"indent = 0", b"indent = 9"))
    other = write(tmp_path, "in/c.ly", score("{ c'4 }"))
    found = list(gather([tmp_path / "in"], tmp_path / "cache"))
    assert [source.label for source in found] == ["a/one.ly (far/away.ly)", "c.ly"]
    assert found[1].path == other
    assert found[0].path.read_bytes() == neutral(BOOK)


def test_the_hash_covers_what_is_included(tmp_path: Path) -> None:
    path = write(tmp_path, "a.ly", '\\include "b.ily"\n')
    write(tmp_path, "b.ily", "x = 1")
    before = digest(path)
    write(tmp_path, "b.ily", "x = 2")
    assert digest(path) != before


def test_a_ruling_is_asked_for_once_and_survives_a_move(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(tmp_path, "old/a.ly", neutral(BOOK))
    [source] = gather([tmp_path / "old"], tmp_path / "cache")
    first = ruling(source, tmp_path / "cache")
    assert [(note.line, note.column) for note in first.scores[0].notes] == [(7, 3), (7, 7)]
    (tmp_path / "old").rename(tmp_path / "new")
    [moved] = gather([tmp_path / "new"], tmp_path / "cache")
    monkeypatch.setattr(events, "raw_rows", None)
    again = ruling(moved, tmp_path / "cache")
    assert [note.file for note in again.scores[0].notes] == [str(moved.path)] * 2


def test_the_outcome_of_a_file(tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    write(tmp_path, "in/1 exact.ly", score("{ c'4 <d' f'>8 }"))
    write(tmp_path, "in/2 unbalanced.ly", score("{ c'4"))
    write(tmp_path, "in/3 no notes.ly", score("\\markup nothing"))
    verdicts = compare_all(list(gather([tmp_path / "in"], cache)), cache)
    assert [verdict.outcome for verdict in verdicts] == [Outcome.EXACT, Outcome.UNRULED, Outcome.EXACT]
    assert totals(verdicts)["notes agreed"] == 3
    assert totals(verdicts)["files ruled"] == 2
    assert as_json(verdicts)["files"][0]["outcome"] == "exact"


def test_a_wrong_note_is_told_with_the_commands_beside_it(tmp_path: Path) -> None:
    path = write(tmp_path, "a.ly", score("\\relative { c'4 d }"))
    true = events.rule(path)
    path.write_text(score("\\relative { c'4 e }"))
    verdict = judge("a", path, true)
    assert (verdict.outcome, verdict.notes, verdict.agreed, verdict.missing, verdict.extra) == (
        Outcome.WRONG,
        2,
        1,
        1,
        1,
    )
    assert verdict.beside == {"\\relative": 2}
    assert "a.ly:2:17: d octave 4" in verdict.differences[0]
    assert "\\relative" in report([verdict])


def test_a_refusal_is_told_with_its_reason(tmp_path: Path) -> None:
    path = write(tmp_path, "a.ly", score("{ c'4 }"))
    true = events.rule(path)
    path.write_text(score("{ c'4"))
    verdict = judge("a", path, true)
    assert (verdict.outcome, verdict.notes) == (Outcome.REFUSED, 1)
    [(reason, count)] = reasons([verdict], Outcome.REFUSED)
    assert count == 1
    assert "a.ly" not in reason


def test_commands_in_comments_and_strings_do_not_count(tmp_path: Path) -> None:
    path = write(tmp_path, "a.ly", '\\new Staff { c4 q \\f } % \\p\n%{ \\g %} \\markup "\\h" \\up-third')
    assert constructs(path) == ("\\f", "\\markup", "\\new", "\\up-third", "q")


def test_the_sample_takes_the_richest_files(tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    write(tmp_path, "in/plain.ly", score("{ c'4 d' e' f' }"))
    write(tmp_path, "in/rich.ly", score("\\relative { \\key c \\major c'4 d e f }"))
    sources = list(gather([tmp_path / "in"], cache))
    sample = json.loads(pick(sources, compare_all(sources, cache), 1))
    assert [entry["name"] for entry in sample["files"].values()] == ["rich.ly"]


def test_the_fixed_sample_is_of_use() -> None:
    assert len(set(sample_digests())) >= 60


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(tmp_path, "in/a.ly", score("{ c'4 }"))
    status = run([str(tmp_path / "in"), "--cache", str(tmp_path / "cache"), "--json", str(tmp_path / "out.json")])
    assert status == 0
    assert "1  notes agreed" in capsys.readouterr().out
    assert json.loads((tmp_path / "out.json").read_text())["totals"]["files exact"] == 1
