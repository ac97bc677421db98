"""A real client over stdio: findings as one types, reasons, and edits that leave everything else as it is."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from lsprotocol import types

from .conftest import PROJECT, Editor, applied

Play = Callable[[Callable[[Editor], Awaitable[None]]], None]
TUNE = "\\new Staff = \"RH\" { c'8 e' g' c'' r2 }\n"


def test_findings_come_and_go_while_typing(in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        bad = "\\new Staff = \"RH\" { <c'-1 e'-2 g'-3>1 }\n"  # crossed fingers: [P] D. Hall (order on the strings)
        found = await editor.open("tune.ly", bad)
        assert {one.code for one in found} >= {"crossed-fingers"}
        crossed = next(one for one in found if one.code == "crossed-fingers")
        assert crossed.source == "lyfinger"
        assert crossed.severity is types.DiagnosticSeverity.Error
        assert crossed.range.start == types.Position(0, bad.index("c'-1"))
        assert await editor.change("tune.ly", bad.replace("-1", "-4").replace("-3", "-1").replace("e'-2", "e'-2")) == []

    in_editor(scene)


def test_an_open_bracket_is_one_finding_at_its_place(in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        (found,) = await editor.open("tune.ly", "\\new Staff = \"RH\" {\n  c'4 <e' g'\n")
        assert found.severity is types.DiagnosticSeverity.Error
        assert "traceback" not in found.message.lower()
        assert await editor.change("tune.ly", TUNE) == []

    in_editor(scene)


def test_hover_says_why(in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        await editor.open("tune.ly", TUNE)
        said = await editor.hover("tune.ly", 0, TUNE.index("e'"))
        assert said is not None
        assert "C4 E4 G4 C5 with 4 3 2 1" in said
        assert await editor.hover("tune.ly", 0, 2) is None

    in_editor(scene)


def test_the_placing_is_inserted_and_nothing_else_changes(in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        text = "%% 𝄪 ♭ \r\n" + TUNE.replace("\n", " % 𝄞\r\n")
        await editor.open("tune.ly", text)
        offered = await editor.actions("tune.ly", (1, TUNE.index("g'")))
        action = offered["Insert this placing's fingering: 4 3 2 1"]
        new = applied(text, action, editor.uri("tune.ly"))
        assert new == text.replace("c'8 e' g' c''", "c'8^4 e'^3 g'^2 c''^1")
        await editor.change("tune.ly", new)
        offered = await editor.actions("tune.ly", (1, new.index("g'") - new.index("\n") - 1))
        assert not [title for title in offered if title.startswith(("Insert", "Take"))]
        cleared = applied(new, offered["Clear this placing's digits"], editor.uri("tune.ly"))
        assert cleared == text

    in_editor(scene)


def test_another_fingering_is_taken_and_then_kept(in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        text = "\\new Staff = \"RH\" { <c' g'>2 r2 }\n"
        await editor.open("tune.ly", text)
        offered = await editor.actions("tune.ly", (0, text.index("g'")))
        other = next(title for title in offered if title.startswith("Take instead: 2-1"))
        new = applied(text, offered[other], editor.uri("tune.ly"))
        assert "<c'^2 g'^1>2" in new
        await editor.change("tune.ly", new)
        assert "with 2-1 (all yours)" in (await editor.hover("tune.ly", 0, text.index("c'")) or "")

    in_editor(scene)


def test_a_selection_and_the_whole_file(in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        text = "\\new Staff = \"RH\" {\n  c'8 e' g' c'' r2\n  d'8 f' a' d'' r2\n}\n"
        await editor.open("tune.ly", text)
        offered = await editor.actions("tune.ly", (1, 0), (2, 0))
        new = applied(text, offered["Insert the fingering of the selection"], editor.uri("tune.ly"))
        assert new == text.replace("c'8 e' g' c''", "c'8^4 e'^3 g'^2 c''^1")
        whole = await editor.actions("tune.ly", (0, 0), only=["source"])
        assert list(whole) == ["Insert every digit of tune.ly"]
        assert applied(text, whole["Insert every digit of tune.ly"], editor.uri("tune.ly")).count("^") == 8

    in_editor(scene)


def test_digits_of_a_second_are_inserted_as_mark_has_them(in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        text = "\\new Staff = \"RH\" { <c' d' g'>2 <c' e' g'> }\n"
        await editor.open("tune.ly", text)
        whole = await editor.actions("tune.ly", (0, 0), only=["source"])
        new = applied(text, whole["Insert every digit of tune.ly"], editor.uri("tune.ly"))
        assert new == text.replace("<c' d' g'>2 <c' e' g'>", "<c' d' g'>2^3^2^1 <c'^3 e'^2 g'^1>")

    in_editor(scene)


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    shutil.copytree(PROJECT / "samples", tmp_path, dirs_exist_ok=True)
    return tmp_path


def test_a_file_of_notes_is_fingered_as_its_score_is(repository: Path, in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        name = "Notes/ferry-harp.ily"
        text = (repository / name).read_text("utf-8")
        await editor.open(name)
        line = next(number for number, row in enumerate(text.splitlines()) if "\\relative" in row) + 2
        whole = await editor.actions(name, (line, 0), only=["source"])
        (action,) = whole.values()
        new = applied(text, action, editor.uri(name))
        assert new.count("^") + new.count("_") > text.count("^") + text.count("_") + 100
        (repository / name).write_text(new, "utf-8")

    in_editor(scene)


def test_a_fast_typist_is_answered_for_the_last_text(in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        await editor.open("tune.ly", TUNE)
        for count in range(1, 8):
            editor.type("tune.ly", TUNE.replace("r2", "r2 <" + " ".join("cdefgab"[:count]) + ">1"))
        found = await editor.next_findings("tune.ly")
        assert {one.code for one in found} >= {"four-fingers"} or {one.code for one in found} >= {
            "passed-to-other-hand"
        }
        await asyncio.sleep(0.5)
        assert editor.shown[editor.uri("tune.ly")] == found

    in_editor(scene)


def test_what_is_shown_goes_with_the_file(in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        assert await editor.open("tune.ly", "\\new Staff = \"RH\" { <c'-1 e'-2>1 }\n")
        closed = types.DidCloseTextDocumentParams(types.TextDocumentIdentifier(editor.uri("tune.ly")))
        editor.client.text_document_did_close(closed)
        assert await editor.next_findings("tune.ly") == []

    in_editor(scene)


def test_a_bad_setting_is_a_finding_in_its_file(tmp_path: Path, in_editor: Play) -> None:
    (tmp_path / "lyfinger.toml").write_text('hand = "huge"\n', "utf-8")

    async def scene(editor: Editor) -> None:
        settings = editor.uri("lyfinger.toml")
        assert await editor.open("tune.ly", TUNE) == []
        assert [one.range.start.line for one in editor.shown[settings]] == [0]
        (tmp_path / "lyfinger.toml").write_text('hand = "large"\n', "utf-8")
        document = types.TextDocumentIdentifier(editor.uri("tune.ly"))
        editor.client.text_document_did_save(types.DidSaveTextDocumentParams(document))
        await editor.next_findings("tune.ly")
        assert editor.shown[settings] == []

    in_editor(scene)


def test_findings_are_picked_and_accepted_as_check_has_them(tmp_path: Path, in_editor: Play) -> None:
    wide = "\\new Staff = \"RH\" {\n  <c' a''>1\n}\n"
    accepted = wide.replace("1\n}", "1 % lyfinger: accept reach\n}")

    async def scene(editor: Editor) -> None:
        assert [one.code for one in await editor.open("tune.ly", wide)] == ["reach"]
        assert await editor.change("tune.ly", accepted) == []
        assert [one.code for one in await editor.change("tune.ly", accepted.replace("reach", "reech"))] == [
            "reach",
            "unknown-rule",
        ]
        (tmp_path / "lyfinger.toml").write_text('[check]\nignore = ["reach"]\n', "utf-8")
        assert await editor.change("tune.ly", wide) == []

    in_editor(scene)


def test_a_digit_that_keeps_two_words_apart_is_not_cleared(in_editor: Play) -> None:
    async def scene(editor: Editor) -> None:
        text = '\\new Staff = "RH" { c-1d-2 e\'4 }\n'
        await editor.open("tune.ly", text)
        assert "Clear this note's digit" not in await editor.actions("tune.ly", (0, text.index("c-1")))
        offered = await editor.actions("tune.ly", (0, text.index("d-2")))
        assert applied(text, offered["Clear this note's digit"], editor.uri("tune.ly")) == text.replace("d-2", "d")

    in_editor(scene)
