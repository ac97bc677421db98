"""The Python interface says and does what the commands do."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest

import lyfinger
from tests.whole.command import ENSEMBLE, SAMPLES, standing_in
from tests.whole.command import lyfinger as command


def test_it_is_loaded_when_it_is_asked_for() -> None:
    script = (
        "import sys, lyfinger\n"
        "assert not {'ly', 'lark', 'lyfinger.api'} & set(sys.modules)\n"
        "assert set(lyfinger.__all__) <= set(dir(lyfinger))\n"
        "assert all(getattr(lyfinger, name) for name in lyfinger.__all__)\n"
        "assert lyfinger.api.mark is lyfinger.mark\n"
        "assert not [name for name in sys.modules if name.startswith('lyfinger.cli')]\n"
    )
    subprocess.run([sys.executable, "-c", script], check=True)
    with pytest.raises(AttributeError, match="no attribute 'finger'"):
        lyfinger.finger  # type: ignore[attr-defined]  # noqa: B018


def test_mark_gives_what_the_command_writes(tmp_path: Path) -> None:
    assert command("mark", *ENSEMBLE, "--output-dir", tmp_path, folder=SAMPLES).status == 0
    with standing_in(SAMPLES):
        marked = lyfinger.mark(*ENSEMBLE)
    assert [file.name for file in marked.files[: len(ENSEMBLE)]] == list(ENSEMBLE)
    assert {file.name: file.data for file in marked.files} == {
        path.relative_to(tmp_path).as_posix(): path.read_bytes()
        for path in tmp_path.rglob("*")
        if path.suffix in (".ly", ".ily")
    }
    assert all((file.data == file.before) == (file.digits == 0) for file in marked.files)
    assert sum(file.digits for file in marked.files) > 500


def test_read_gives_what_notes_lists() -> None:
    path = SAMPLES / "Teaching" / "stepping-stones.ly"
    listed = json.loads(command("notes", path, "--format", "json").out)["notes"]
    music = lyfinger.read(path)
    assert [(note.line, note.column, note.hand, note.finger, note.placing) for note in music.notes] == [
        (item["line"], item["column"], item["hand"], item["finger"], item["placing"]) for item in listed
    ]
    assert {note.locked for note in music.notes if note.finger} == {True, False}
    with pytest.raises(FrozenInstanceError):
        music.notes[0].finger = 1  # type: ignore[misc]


def test_check_gives_what_the_command_prints() -> None:
    source = b"\\new Staff = RH { <c'-1 e'-1>1 <c' a''>1 }\n"
    printed = command("check", "-", "--stdin-filename", "a.ly", stdin=source).out.decode()
    found = lyfinger.check(lyfinger.Text(source, "a.ly"))
    assert "".join(f"{finding}\n" for finding in found) == printed
    assert {finding.severity for finding in found} >= {lyfinger.Severity.ERROR}


def test_what_is_accepted_or_not_asked_for_is_left_out(tmp_path: Path) -> None:
    source = b"\\new Staff = RH { % lyfinger: accept finger-twice\n <c'-1 e'-1>1 }\n"
    assert lyfinger.check(lyfinger.Text(source.replace(b"accept", b"allow")))
    printed = command("check", "-", stdin=source).out.decode()
    found = lyfinger.check(lyfinger.Text(source))
    assert "".join(f"{finding}\n" for finding in found) == printed
    (tmp_path / "lyfinger.toml").write_text('[check]\nignore = ["finger-twice"]\n')
    bare = lyfinger.Text(b"\\new Staff = RH { <c'-1 e'-1>1 }\n", str(tmp_path / "a.ly"))
    assert "finger-twice" not in {finding.rule for finding in lyfinger.check(bare)}


def test_explain_gives_what_the_command_prints() -> None:
    path = SAMPLES / "Parts" / "lantern-walk.ly"
    printed = json.loads(command("explain", path, "--bars", "2-3", "--format", "json").out)["figures"]
    figures = lyfinger.explain(path, bars=(2, 3))
    assert len(figures) == len(printed) > 1
    for figure, item in zip(figures, printed, strict=True):
        assert list(figure.digits) == [note["finger"] for note in item["notes"]]
        assert [(cost.rule, cost.cost, cost.text) for cost in figure.costs] == [
            (cost["rule"], cost["cost"], cost["text"]) for cost in item["costs"]
        ]
        assert [list(other.digits) for other in figure.others or ()] == [other["digits"] for other in item["next_best"]]


def test_settings_and_the_hand_count(tmp_path: Path) -> None:
    """A sixth is 3–1 for the medium hand and 4–1 for the small one (common practice, no source)."""
    sixth = lyfinger.Text(b"\\new Staff = RH { <c' a'>1 }")
    (tmp_path / "lyfinger.toml").write_text('hand = "small"\n')
    assert b"<c'^3 a'^1>" in lyfinger.mark(sixth).data
    assert b"<c'^4 a'^1>" in lyfinger.mark(sixth, hand="small").data
    assert b"<c'^4 a'^1>" in lyfinger.mark(sixth, settings=tmp_path / "lyfinger.toml").data
    assert b"<c'^4 a'^1>" in lyfinger.mark(lyfinger.Text(sixth.data, str(tmp_path / "a.ly"))).data


def test_documents_are_sources_too() -> None:
    page = lyfinger.Text(b"<p><lilypond fragment relative=1: c4 d e f/></p>", "page.html")
    assert lyfinger.mark(page).data == b"<p><lilypond fragment relative=1: c4^4 d^3 e^2 f^1/></p>"


def test_what_cant_be_done_is_refused() -> None:
    with pytest.raises(lyfinger.Refused, match=r"^lyfinger: can't read nothing\.ly: No such file or directory$"):
        lyfinger.read("nothing.ly")
    with pytest.raises(lyfinger.Refused, match=r"^-:1:1: error: "):
        lyfinger.mark(lyfinger.Text(b"{ c'4"))
    with pytest.raises(ValueError, match="hand is one of"):
        lyfinger.mark(lyfinger.Text(b""), hand="huge")
    with pytest.raises(ValueError, match="either at or bars"):
        lyfinger.explain(lyfinger.Text(b""))
    with pytest.raises(ValueError, match="at least one source"):
        lyfinger.read()


def test_what_is_printed_can_be_said() -> None:
    """As the options of the command line: the same bytes."""
    path = SAMPLES / "Parts" / "lantern-walk.ly"
    for options, words in (
        (("--density", "needed"), {"density": "needed"}),
        (("--chords", "left"), {"chords": "left"}),
        (("--brackets",), {"brackets": True}),
    ):
        assert lyfinger.mark(path, **words).data == command("mark", path, *options).out
    assert lyfinger.mark(path, brackets=False).data == lyfinger.mark(path).data
    with pytest.raises(ValueError, match="density is one of all, placings, needed, not 'few'"):
        lyfinger.mark(path, density="few")
    with pytest.raises(ValueError, match="chords is one of"):
        lyfinger.mark(path, chords="right")


def test_locks_are_held_to(tmp_path: Path) -> None:
    text = lyfinger.Text(b"right = { c'4 e' g' }")
    digit = {"line": 1, "column": 11, "finger": 4}
    locks = {
        "lyfinger-locks": 1,
        "files": [{"name": "-", "sha256": hashlib.sha256(text.data).hexdigest(), "digits": [digit]}],
    }
    (tmp_path / "locks.json").write_text(json.dumps(locks))
    assert lyfinger.mark(text).data == b"right = { c'4^3 e'^2 g'^1 }"
    assert lyfinger.mark(text, locks=json.dumps(locks).encode()).data == b"right = { c'4^4 e'^2 g'^1 }"
    assert lyfinger.mark(text, locks=tmp_path / "locks.json").data == b"right = { c'4^4 e'^2 g'^1 }"
    assert [note.finger for note in lyfinger.read(text, locks=tmp_path / "locks.json").notes] == [4, 2, 1]
    with pytest.raises(lyfinger.Refused, match=r"can't read .*nothing\.json: No such file"):
        lyfinger.mark(text, locks=tmp_path / "nothing.json")
    with pytest.raises(lyfinger.Refused, match="has changed since its locks were chosen"):
        lyfinger.mark(lyfinger.Text(b"right = { c'4 e' a' }"), locks=tmp_path / "locks.json")
