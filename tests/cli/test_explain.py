"""``lyfinger explain`` and ``lyfinger rules`` as a user types them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from lyfinger.fingering.weights import WEIGHTS
from lyfinger.marking.weighing import LEVELS
from tests.whole.command import SAMPLES, lyfinger

from .conftest import Result, Run

SCALE = b"""\\version "2.24.0"
\\new Staff = "RH" { \\tempo 4 = 120 c'16 d' e' f' g' a' b' c'' ~ c''4 r4 | c'1-2 ~ | c'1 | R1 | <c' e'-3 g' e''>1 q }
"""
MIXED = b"""\\version "2.24.0"
\\new PianoStaff <<
  \\new Staff = "RH" { c'4 d' e' f' | <c' g' e'' c'''>1 | <c' d' e' f' g'>1 }
  \\new Staff = "LH" { c4 e g c' | c1 | c1 }
>>
\\new Staff = "Flute" \\with { instrumentName = "Flute" } { g''4 }
"""
PIECES = ("Parts/lantern-walk.ly", "Scores/ferry.ly", "Teaching/stepping-stones.ly")


@pytest.fixture
def scale(repository: Path) -> Path:
    (repository / "scale.ly").write_bytes(SCALE)
    (repository / "mixed.ly").write_bytes(MIXED)
    return repository


def explained(folder: Path, *arguments: str) -> dict[str, Any]:
    result = lyfinger("explain", *arguments, "--format", "json", folder=folder)
    assert result.status == 0
    found = json.loads(result.out)
    assert isinstance(found, dict)
    return found


def test_text(run: Run, scale: Path) -> None:
    result = run("explain", "scale.ly", "--at", "2:45")
    assert (result.status, result.err) == (0, b"")
    lines = result.out.decode("utf-8").splitlines()
    assert lines[0] == "scale.ly:2:36: right hand, bar 1"
    assert lines[1].startswith("  phrase: bar 1, 8 notes; cost ")
    assert lines[1].endswith(", proven the least")
    assert "  placing 1, bar 1 beat 1: C4 D4 E4 F4 with 4 3 2 1" in lines
    assert "  placing 2, bar 1 beat 2: G4 A4 B4 C5 with 4 3 2 1" in lines
    assert any(line.endswith("cross under by a second in 125 ms, 4 after 1") for line in lines)
    assert "  marked:        4 3 2 1 | 4 3 2 1" in lines
    assert sum(line.startswith(("  next best:", " " * 17 + "+")) for line in lines) == 4
    assert "cross under: Going up, a low finger is set above the thumb's string" in " ".join(
        result.out.decode().split()
    )
    assert "[P] S. Ballard; Telenn Vruk" in " ".join(result.out.decode().split())
    assert "limit of this hand" not in result.out.decode()


def test_json(scale: Path) -> None:
    found = explained(scale, "scale.ly", "--at", "2:36")
    (figure,) = found["figures"]
    assert (figure["hand"], figure["bars"], found["unfingered"]) == ("right", [1, 1], [])
    assert [note["finger"] for note in figure["notes"]] == [4, 3, 2, 1, 4, 3, 2, 1]
    assert [note["placing"] for note in figure["notes"]] == [1, 1, 1, 1, 2, 2, 2, 2]
    assert {note["origin"] for note in figure["notes"]} == {"suggested"}
    assert figure["notes"][0] == {
        "file": "scale.ly",
        "line": 2,
        "column": 36,
        "score": 1,
        "bar": 1,
        "beat": "1",
        "pitch": {"step": "C", "alter": 0, "octave": 4},
        "finger": 4,
        "origin": "suggested",
        "placing": 1,
    }
    assert sum(cost["cost"] for cost in figure["costs"]) == figure["phrase"]["cost"] == figure["phrase"]["bound"]
    crossing = next(cost for cost in figure["costs"] if cost["rule"] == "cross-under")
    assert (crossing["notes"], crossing["placing"]) == ([3, 4], 2)
    assert crossing["text"] == "cross under by a second in 125 ms: G4 with 4 after F4 with 1"
    assert found["rules"]["cross-under"]["weight"] == WEIGHTS["cross-under"]
    assert len(figure["next_best"]) == 3
    for other in figure["next_best"]:
        assert other["more"] == sum(other["difference"].values()) == other["cost"] - figure["phrase"]["cost"] >= 0
        assert len(other["digits"]) == len(other["placings"]) == 8
        assert other["proven"]


@pytest.mark.parametrize("name", PIECES)
def test_what_is_explained_is_what_mark_writes(name: str) -> None:
    """Every digit of every bar is the one that notes lists; each phrase's costs are the sum of its rules'; the next
    best are dearer, in order, and other digits."""
    found = explained(SAMPLES, name, "--bars", "0-999")
    rows = json.loads(lyfinger("notes", name, "--format", "json", folder=SAMPLES).out)["notes"]
    finger = {(row["file"], row["line"], row["column"]): row["finger"] for row in rows if row["finger"]}
    seen = {}
    for figure in found["figures"]:
        for note in figure["notes"]:
            seen[note["file"], note["line"], note["column"]] = note["finger"]
        phrase = figure["phrase"]
        assert sum(phrase["by_rule"].values()) == phrase["cost"] == phrase["bound"]
        if not phrase["decided_with"]:
            assert sum(cost["cost"] for cost in figure["costs"]) == phrase["cost"]
        assert [other["more"] for other in figure["next_best"]] == sorted(o["more"] for o in figure["next_best"])
        digits = [[note["finger"] for note in figure["notes"]], *(other["digits"] for other in figure["next_best"])]
        assert len({tuple(line) for line in digits}) == len(digits)
        assert all(other["more"] >= 0 for other in figure["next_best"])
        if not phrase["decided_with"]:
            assert all(other["changed_elsewhere"] == 0 for other in figure["next_best"])
    assert {place: seen.get(place) for place in finger} == finger


def test_a_locked_digit_is_named_as_yours(run: Run, scale: Path) -> None:
    assert "C4 with 2 (all yours)" in run("explain", "scale.ly", "--bars", "2").out.decode()
    text = run("explain", "scale.ly", "--bars", "5").out.decode()
    assert "C4-E4-G4-E5 with 4-3-2-1 (yours: E4)" in text
    assert "no other fingering" in text


def test_the_caution_is_printed_near_the_limit(scale: Path) -> None:
    (scale / "wide.ly").write_bytes(b'\\new Staff = "RH" { <c g e\'>1 }\n')
    text = lyfinger("explain", "wide.ly", "--bars", "1", folder=scale).out.decode()
    assert "stop when it hurts" in text
    assert "a tenth with 4 and 1, " in text
    (figure,) = explained(scale, "wide.ly", "--bars", "1")["figures"]
    assert figure["limits"]
    assert "clinician" in figure["caution"]
    large = lyfinger("explain", "wide.ly", "--bars", "1", "--hand", "large", folder=scale).out.decode()
    assert "stop when it hurts" not in large


def test_bars_show_both_hands_and_what_has_no_digit(scale: Path) -> None:
    found = explained(scale, "mixed.ly", "--bars", "1-2")
    assert {figure["hand"] for figure in found["figures"]} == {"right", "left"}
    (none,) = found["unfingered"]
    assert (none["line"], none["hand"]) == (3, "right")
    text = lyfinger("explain", "mixed.ly", "--at", "3:42", folder=scale).out.decode()
    assert text.startswith("mixed.ly:3:39: right hand: no digit: C4 to C6 ")
    assert text.count("\n") == 1


@pytest.mark.parametrize(
    ("file", "pointed", "line"),
    [
        ("scale.ly", ("--at", "2:1"), "scale.ly:2:1: error: no note stands here"),
        ("scale.ly", ("--at", "2:40"), "scale.ly:2:40: error: no note stands here"),
        ("scale.ly", ("--at", "1:3"), "scale.ly:1:3: error: no note stands here"),
        ("scale.ly", ("--at", "9:1"), "lyfinger: scale.ly has no line 9 with a column 1"),
        ("scale.ly", ("--at", "2:999"), "lyfinger: scale.ly has no line 2 with a column 999"),
        ("scale.ly", ("--at", "x.ly:2:3"), "lyfinger: scale.ly does not include x.ly"),
        (
            "scale.ly",
            ("--bars", "70-80"),
            "lyfinger: no hand plays a note in bars 70 to 80 of scale.ly; it has notes in bars 1 to 6",
        ),
        (
            "scale.ly",
            ("--bars", "4"),
            "lyfinger: no hand plays a note in bar 4 of scale.ly; it has notes in bars 1 to 6",
        ),
        ("mixed.ly", ("--at", "3:72"), "mixed.ly:3:71: error: this note is one of more than a hand can take at once"),
        ("mixed.ly", ("--at", "6:60"), "mixed.ly:6:59: error: this note is no hand's"),
        ("nothing.ly", ("--at", "1:1"), "lyfinger: can't read nothing.ly: No such file or directory"),
    ],
)
def test_what_is_no_note_is_refused_in_one_line(scale: Path, file: str, pointed: tuple[str, str], line: str) -> None:
    result = lyfinger("explain", file, *pointed, folder=scale)
    assert (result.status, result.out) == (2, b"")
    assert result.err.splitlines()[-1].startswith(line)


def test_a_tied_note_is_not_plucked_again(scale: Path) -> None:
    column = SCALE.decode().splitlines()[1].index("c'1 | R1") + 1
    result = lyfinger("explain", "scale.ly", "--at", f"2:{column}", folder=scale)
    assert result.status == 2
    assert result.err == f"scale.ly:2:{column}: error: this note is tied to the one before: it is not plucked again\n"


@pytest.mark.parametrize(
    "arguments",
    [
        ("scale.ly",),
        ("scale.ly", "--at", "2"),
        ("scale.ly", "--at", "a:b"),
        ("scale.ly", "--bars", "3-"),
        ("scale.ly", "--bars", "3-2"),
        ("scale.ly", "--bars", "1", "--at", "2:3"),
    ],
)
def test_a_place_that_makes_no_sense_is_refused_in_one_line(scale: Path, arguments: tuple[str, ...]) -> None:
    result = lyfinger("explain", *arguments, folder=scale)
    assert (result.status, result.out, result.err.count("\n")) == (2, b"", 1)
    assert "--help" in result.err


def test_a_place_inside_a_word_and_the_bracket_of_a_chord(scale: Path) -> None:
    chord = SCALE.decode().splitlines()[1].index("<c'") + 1
    same = {
        lyfinger("explain", "scale.ly", "--at", f"2:{column}", folder=scale).out
        for column in (chord, chord + 1, chord + 2)
    }
    assert len(same) == 1


def test_a_note_in_an_included_file(run: Run) -> None:
    there = run("explain", "parts/harp.ly", "--at", "notes/tune.ily:1:15")
    assert there.status == 0
    assert b": right hand, bar 1\n" in there.out
    assert run("explain", "parts/harp.ly", "--at", "tune.ily:1:15").out == there.out
    assert run("explain", "notes/tune.ily", "--at", "1:15").status == 0


def test_standard_input(run: Run) -> None:
    result = run("explain", "-", "--stdin-filename", "a.ly", "--bars", "1", stdin=SCALE)
    assert result.status == 0
    assert result.out.startswith(b"a.ly:2:36: right hand, bar 1\n")


def test_a_part_and_its_score_in_one_file_are_explained_once(scale: Path) -> None:
    tune = b"tune = { c'4 d' e' f' }\n"
    (scale / "one.ly").write_bytes(tune + b'\\score { \\new Staff = "RH" \\tune }\n')
    (scale / "two.ly").write_bytes(tune + b'\\score { \\new Staff = "RH" \\tune }\n' * 2)
    once, twice = (explained(scale, name, "--bars", "1")["figures"] for name in ("one.ly", "two.ly"))
    assert len(once) == len(twice) == 1


def test_a_rule_that_is_off_is_named_nowhere(scale: Path) -> None:
    (scale / "lyfinger.toml").write_text("[rules]\ncross-under = false\nhop = 77\n")
    found = explained(scale, "scale.ly", "--bars", "1-5")
    assert found["rules"]["cross-under"]["weight"] == 0
    assert found["rules"]["hop"]["weight"] == 77
    for figure in found["figures"]:
        assert "cross-under" not in {cost["rule"] for cost in figure["costs"]}
        assert figure["phrase"]["by_rule"].get("cross-under", 0) == 0
        assert all(other["more"] == sum(other["difference"].values()) for other in figure["next_best"])


def test_a_level_changes_the_marking(scale: Path) -> None:
    (scale / "five.ly").write_bytes(b"\\new Staff = \"RH\" { \\tempo 4 = 80 g'16 f' e' d' c' r8. }\n")
    fingers = {}
    for level in LEVELS:
        (scale / "lyfinger.toml").write_text(f'level = "{level}"\n')
        rows = json.loads(lyfinger("notes", "five.ly", "--format", "json", folder=scale).out)["notes"]
        fingers[level] = [row["finger"] for row in rows]
    assert fingers["standard"] == [1, 1, 2, 3, 4]
    assert fingers["learner"] == [1, 2, 3, 1, 2]


def test_rules_are_listed(run: Run) -> None:
    result = run("rules")
    assert (result.status, result.err) == (0, b"")
    text = result.out.decode()
    rows = {line.split()[0]: line.split()[1] for line in text.splitlines() if line.startswith("  ")}
    assert all(rows[name] == str(weight) for name, weight in WEIGHTS.items())
    assert "wide-chords" in rows


def test_one_rule_with_its_documentation(run: Run, repository: Path) -> None:
    (repository / "lyfinger.toml").write_text("[rules]\nhop = 77\n")
    text = run("rules", "hop").out.decode()
    assert text.startswith("hop: The same finger on two different strings running")
    assert f"\nWeight: 77 (standard: {WEIGHTS['hop']})\n" in text
    assert all(f"\n{heading}: " in text for heading in ("Applies when", "Cost", "Interacts with", "Source"))
    (one,) = json.loads(run("rules", "wide-chords", "--format", "json").out)["rules"]
    assert {"name", "kind", "says", "applies_when", "source"} <= set(one)
    assert (one["kind"], "weight" in one) == ("check", False)


def test_a_rule_that_nobody_knows(run: Run) -> None:
    assert run("rules", "cros-under") == Result(
        2, b"", b"lyfinger: no rule is called cros-under; did you mean cross-under?\n"
    )
    assert run("rules", "zzz") == Result(2, b"", b"lyfinger: no rule is called zzz\n")


def test_a_rule_in_the_settings_that_nobody_knows(run: Run, repository: Path) -> None:
    (repository / "lyfinger.toml").write_text("hand = 'small'\n[rules]\ncross_over = 3\n")
    line = b"lyfinger.toml:3:1: error: no rule of the search is called cross_over; did you mean cross-over?\n"
    for command in (("mark", "single.ly"), ("rules",), ("explain", "single.ly", "--bars", "1")):
        assert run(*command) == Result(2, b"", line)


def test_help_says_what_they_are_for(run: Run) -> None:
    text = run("explain", "--help").out.decode()
    assert all(option in text for option in ("--at", "--bars", "--format", "-I", "--strict", "--hand", "--config"))
    assert "NAME" in run("rules", "--help").out.decode()
