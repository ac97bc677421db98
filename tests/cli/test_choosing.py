"""``--bars``, ``--staves`` and ``--voices`` as a user types them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .conftest import Run

MUSIC = b"""\\version "2.24.0"
\\score { \\new PianoStaff <<
  \\new Staff = "RH" { c'4 d' e' f' | g'4 a' b' c'' | << { e''2 d'' } \\\\ { c''4 b' a' g' } >> }
  \\new Staff = "LH" { \\clef bass c4 e g c' | <c e g b d'>1 | c1 }
>> }
"""


@pytest.fixture(autouse=True)
def _part(repository: Path) -> None:
    (repository / "part.ly").write_bytes(MUSIC)


def lines(text: bytes) -> list[str]:
    return text.decode().splitlines()


def test_the_rest_of_the_file_stays_bare(run: Run, repository: Path) -> None:
    whole, bare = lines(run("mark", "part.ly").out), lines((repository / "part.ly").read_bytes())
    chosen = lines(run("mark", "part.ly", "--bars", "1-2", "--staves", "RH").out)
    assert [old == new for old, new in zip(bare, chosen, strict=True)] == [True, True, False, True, True]
    wanted, _, rest = whole[2].partition("<<")
    assert chosen[2] == wanted + "<<" + bare[2].partition("<<")[2]
    assert rest != bare[2].partition("<<")[2]


def test_marking_bar_by_bar_is_marking_the_whole(run: Run) -> None:
    """The digits of one bar are then locked for the next; they are those that the whole would have."""
    whole = run("mark", "part.ly").out
    first = run("mark", "part.ly", "--bars", "1")
    assert first.out != whole
    data = first.out
    for bars in ("2", "3"):
        data = run("mark", "-", "--bars", bars, stdin=data).out
    assert data == whole


def test_notes_lists_what_is_chosen(run: Run) -> None:
    listed = json.loads(run("notes", "part.ly", "--format", "json").out)["notes"]
    second = [note for note in listed if note["voice"] == "2"]
    assert json.loads(run("notes", "part.ly", "--voices", "2", "--format", "json").out)["notes"] == second != []
    right = [note for note in listed if note["staff"] == "RH" and note["bar"] in (2, 3)]
    result = run("notes", "part.ly", "--staves", "rh", "--bars", "2-3", "--format", "json")
    assert json.loads(result.out)["notes"] == right != []


def test_check_finds_what_is_chosen(run: Run) -> None:
    everything = run("check", "part.ly")
    assert (everything.status, b"[four-fingers]" in everything.out) == (1, True)
    assert run("check", "part.ly", "--bars", "2", "--staves", "LH").out == everything.out
    for choice in (["--bars", "1"], ["--staves", "RH"], ["--bars", "3", "--voices", "1"]):
        result = run("check", "part.ly", *choice)
        assert (result.status, result.out) == (0, b"")


def test_explain_keeps_to_the_staves(run: Run) -> None:
    both = run("explain", "part.ly", "--bars", "1").out.decode()
    right = run("explain", "part.ly", "--bars", "1", "--staves", "RH").out.decode()
    assert "left hand" in both
    assert "right hand" in right
    assert "left hand" not in right


def test_warnings_about_the_rest_are_not_printed(run: Run) -> None:
    assert [line for line in run("mark", "part.ly").lines if "four-fingers" in line]
    assert run("mark", "part.ly", "--bars", "1").lines == []


@pytest.mark.parametrize("command", ["mark", "notes", "check", "clear"])
@pytest.mark.parametrize(
    ("choice", "said"),
    [
        (["--staves", "harp"], 'no staff is called "harp"; there is RH, LH'),
        (["--staves", "RH,harp"], 'no staff is called "harp"; there is RH, LH'),
        (["--voices", "3"], 'no voice is called "3"; there is '),
        (["--bars", "12-14"], "no note stands in bars 12 to 14; the notes stand in bars 1 to 3"),
        (["--bars", "2-1"], "2-1 ends before it begins"),
        (["--bars", "two"], "two is not FIRST-LAST, such as 12-14"),
        (["--staves", "RH,"], "RH, leaves a name out"),
        (["--staves", ""], '"" names nothing'),
    ],
)
def test_a_choice_of_nothing_is_refused_in_one_line(run: Run, command: str, choice: list[str], said: str) -> None:
    result = run(command, "part.ly", *choice)
    assert (result.status, result.out, len(result.lines)) == (2, b"", 1)
    assert said in result.lines[0]


FULL = b"""\\version "2.24.0"
\\score { <<
  \\new PianoStaff = "keys" << \\new Staff = "a" { c'4 d' e' f' } \\new Staff = "b" { c1 } >>
  \\new PianoStaff = "zither" << \\new Staff = "c" { g'4 a' b' c'' } \\new Staff = "d" { g,1 } >>
>> }
"""


def test_the_harps_staves_in_a_full_score(run: Run, repository: Path) -> None:
    (repository / "full.ly").write_bytes(FULL)
    bare = lines((repository / "full.ly").read_bytes())

    def changed(*options: str) -> list[bool]:
        now = lines(run("mark", "full.ly", *options).out)
        return [old != new for old, new in zip(bare, now, strict=True)][2:4]

    assert changed() == [True, True]
    assert changed("--staves", "zither") == [False, True]
    (repository / "lyfinger.toml").write_text('[hands]\nstaves = ["Keys"]\n', encoding="utf-8")
    assert changed() == [True, False]
    assert changed("--staves", "c,d") == [False, True]
    assert run("mark", "part.ly").out != (repository / "part.ly").read_bytes()


def test_what_is_accepted_outside_the_choice_is_not_called_needless(run: Run, repository: Path) -> None:
    """Comments are held against all findings; only then those of the rest are left out."""
    accepted = MUSIC.replace(b"c1 }\n>> }", b"c1 } % lyfinger: accept four-fingers\n>> }")
    (repository / "part.ly").write_bytes(accepted)
    for choice in ([], ["--bars", "1"], ["--staves", "RH"], ["--bars", "2", "--staves", "LH"]):
        result = run("check", "part.ly", *choice)
        assert (result.status, b"four-fingers" in result.out, b"accepts-nothing" in result.out) == (0, False, False)
    counted = [run("check", "part.ly", "--format", "json", *choice) for choice in ([], ["--bars", "1"])]
    assert [b"four-fingers" in result.out for result in counted] == [True, False]
