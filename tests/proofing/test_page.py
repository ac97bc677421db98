"""The page: every digit once, where the typesetter put it; nothing of a score can run in it."""

from __future__ import annotations

import hashlib
import re
from base64 import b64decode, b64encode
from pathlib import Path

import pytest

from tests.referee.pictures import fingerings
from tests.whole.command import SAMPLES, lyfinger

from .pages import HOSTILE, SCORE, Taken, page_of, taken_apart


@pytest.fixture(scope="module")
def score(tmp_path_factory: pytest.TempPathFactory) -> Taken:
    return taken_apart(page_of(tmp_path_factory.mktemp("score"), SCORE))


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return page_of(tmp_path_factory.mktemp("hostile"), HOSTILE, name="a & <b>'\"part.ly")


def test_every_digit_stands_on_the_page_once(score: Taken) -> None:
    data, marks = score.data, [one for one in score.named("digit") if "data-digit" in one]
    assert sorted(int(one["data-digit"] or "") for one in marks) == list(range(len(data["digits"])))
    kinds = [digit["kind"] for digit in data["digits"]]
    assert (kinds.count("suggested"), kinds.count("locked"), kinds.count("silent")) == (13, 4, 0)
    assert all(one["aria-label"] and one["role"] == "button" for one in marks)


def test_digits_that_are_not_printed_are_shown_apart(tmp_path: Path) -> None:
    data = taken_apart(page_of(tmp_path, SCORE, "--density", "needed")).data
    assert {digit["kind"] for digit in data["digits"]} == {"suggested", "silent", "locked"}
    assert len(data["digits"]) == 17


def test_as_many_digits_as_the_typesetter_prints(tmp_path: Path) -> None:
    """The referee counts the digits of a marked sample without the page."""
    name = "Parts/drunken-sailor.ly"
    assert lyfinger("mark", name, "--output-dir", tmp_path, folder=SAMPLES).status == 0
    printed = fingerings(tmp_path / name)
    done = lyfinger("proof", name, "-o", tmp_path / "proof.html", folder=SAMPLES)
    assert done.status == 0, done.err
    marks = [one for one in taken_apart((tmp_path / "proof.html").read_bytes()).named("digit") if "data-digit" in one]
    assert len(marks) == len(printed) > 100


NAMES = ["part (1).ly", "été à la mer.ly", "a%20b+c.ly", "back\\slash).ly"]
TEXTS = {
    "byte order mark": "\ufeff\\version \"2.24.0\" \\new Staff = \"RH\" { c'8 e' g' c'' }\n",
    "byte order mark, first line": "\ufeff\\new Staff = \"RH\" { c'8 e' g' c'' }\n",
    "CRLF and tabs": "\\version \"2.24.0\"\r\n\\new Staff = \"RH\" {\r\n\tc'8\te' g'\r\n\t\tc'' }\r\n",
    "accents": '\\version "2.24.0" \\new Staff = "RH" { c\'8^"é ß 日本" e\' %{ ü %} g\' c\'\' }\n',
    "beyond the basic plane": "\\version \"2.24.0\" \\new Staff = \"RH\" { c'8 %{ 𝄞𝄢 %} e' g' c'' }\n",
    "a tag and a tweak": '\\new Staff = "RH" {\n'
    "  c'8-\\tag #'x -4 e'-\\tweak color #red -3 g'\\finger \"2\" c''\\thumb }\n",
    "a variable used twice": "t = { c'8 e' g' c'' }\n\\new Staff = \"RH\" { \\t r2 \\t }\n",
    "transposed": "\\new Staff = \"RH\" \\transpose c d { c'8 e' g' c'' }\n",
}


@pytest.mark.parametrize("name", NAMES)
def test_files_of_any_name_find_their_digits(name: str, tmp_path: Path) -> None:
    taken = taken_apart(page_of(tmp_path, SCORE, name=name))
    assert len([one for one in taken.named("digit") if "data-digit" in one]) == len(taken.data["digits"]) == 17


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_sources_of_any_shape_find_their_digits(text: str, tmp_path: Path) -> None:
    (tmp_path / "part.ly").write_bytes(text.encode())
    done = lyfinger("proof", "part.ly", folder=tmp_path)
    assert done.status == 0, done.err
    taken = taken_apart(done.out)
    found = {int(one["data-digit"] or "") for one in taken.named("digit") if "data-digit" in one}
    assert found == set(range(4))
    assert len(taken.data["digits"]) == 4


@pytest.mark.parametrize(
    "options",
    [
        ("--brackets",),
        ("--chords", "left"),
        ("--chords", "behind", "--outside"),
        ("--density", "needed", "--brackets"),
        ("--slides", "--crossings", "--hand-signs"),
    ],
)
def test_pages_of_any_style_find_their_digits(options: tuple[str, ...], tmp_path: Path) -> None:
    taken = taken_apart(page_of(tmp_path, SCORE, *options))
    found = {int(one["data-digit"] or "") for one in taken.named("digit") if "data-digit" in one}
    assert found == set(range(17))


def test_a_place_is_the_places_own_digit(score: Taken) -> None:
    """Left to right the boxes of the scale have the digits of its notes, in order."""
    data = score.data
    scale = [index for index, digit in enumerate(data["digits"]) if digit["line"] == 4][:8]
    columns = [data["digits"][index]["column"] for index in scale]
    assert columns == sorted(columns)
    page = score.elements
    found: dict[int, float] = {}
    for at, (_, attributes) in enumerate(page):
        if "data-digit" in attributes:
            found[int(attributes["data-digit"] or "")] = float(page[at + 1][1]["x"] or "")
    assert [found[index] for index in scale] == sorted(found[index] for index in scale)


def test_reasons_and_other_fingerings_are_there(score: Taken) -> None:
    figures = score.data["figures"]
    scale = figures[0]
    assert (scale["hand"], scale["bar"], scale["line"]) == ("right", 1, "4 3 2 1")
    assert scale["others"]
    assert [other["more"] for other in scale["others"]] == sorted(other["more"] for other in scale["others"])
    labels = [one["aria-label"] or "" for one in score.named("bar") if "data-figure" in one]
    assert any("left hand: a tenth with 4 and 1: " in label for label in labels)


def test_only_the_pages_own_script_and_style_may_run(hostile: bytes) -> None:
    taken = taken_apart(hostile)
    assert [tag for tag, _ in taken.raw] == ["style", "script", "script"]
    policy = next(one["content"] for _, one in taken.elements if one.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    assert policy.startswith("default-src 'none'; img-src data:; ")
    assert "unsafe" not in policy
    for _, text in (taken.raw[0], taken.raw[2]):
        digest = b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"'sha256-{digest}'" in policy


def test_nothing_of_a_score_becomes_markup(hostile: bytes) -> None:
    taken = taken_apart(hostile)
    assert not [name for _, attributes in taken.elements for name in attributes if name.startswith("on")]
    links = [one["href"] or "" for _, one in taken.elements if "href" in one]
    assert all(link.startswith(("data:image/svg+xml;base64,", "#")) for link in links)
    assert not [one for _, one in taken.elements if {"src", "srcdoc", "action", "xlink:href", "style"} & one.keys()]
    pictures = [b64decode(link.partition(",")[2]) for link in links if link.startswith("data:")]
    assert pictures
    assert not re.search(rb"<script|javascript:|textedit:|onerror=", b"".join(pictures))
    assert b"window.broken" not in re.sub(
        rb'<script type="application/json".*?</script>', b"", hostile, flags=re.DOTALL
    )


def test_the_page_is_the_same_each_time(tmp_path: Path) -> None:
    assert page_of(tmp_path, SCORE) == page_of(tmp_path, SCORE)


def test_included_files_outside_the_folder_are_engraved_too(tmp_path: Path) -> None:
    (tmp_path / "notes").mkdir()
    (tmp_path / "parts").mkdir()
    (tmp_path / "notes" / "tune.ily").write_text("tune = { c'4 d' e' f' }\n")
    text = '\\version "2.24.0"\n\\include "tune.ily"\n\\new Staff = "RH" \\tune\n'
    data = taken_apart(page_of(tmp_path / "parts", text, "-I", "../notes")).data
    assert [file["name"] for file in data["files"]] == ["../notes/tune.ily"]
    assert len(data["digits"]) == 4


MISUSE = [
    (("--lilypond", "no-such-program"), "proof: no-such-program is no program that can be run"),
    (("--lilypond", "false"), "proof: LilyPond engraved nothing: it printed no page"),
    (("-o", "part.ly"), "part.ly is a source of this run, and the page would overwrite it"),
    (("-o", "nowhere/proof.html"), "can't write nowhere/proof.html: there is no such folder"),
    (("-o", "."), "can't write .: it is a folder"),
]


@pytest.mark.parametrize(("options", "said"), MISUSE)
def test_refusals_are_one_line(options: tuple[str, ...], said: str, tmp_path: Path) -> None:
    (tmp_path / "part.ly").write_text(SCORE)
    done = lyfinger("proof", "part.ly", *options, folder=tmp_path)
    assert (done.status, done.out) == (2, b"")
    assert done.err.removeprefix("lyfinger: ").startswith(said)
    assert done.err.count("\n") == 1
    assert (tmp_path / "part.ly").read_text() == SCORE


def test_a_missing_typesetter_is_said_with_where_to_get_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr("lyfinger.proofing.typesetter._of_the_package", lambda: None)
    (tmp_path / "part.ly").write_text(SCORE)
    done = lyfinger("proof", "part.ly", folder=tmp_path)
    assert done.status == 2
    assert "pip install lilypond" in done.err
    assert done.err.count("\n") == 1
