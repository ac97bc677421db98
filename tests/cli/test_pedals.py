"""``lyfinger pedals`` as a user types it."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

from ..pedals.music import staves
from ..whole.command import SAMPLES, lyfinger

NO_PLAN = '\\version "2.24.0"\n' + staves("\n r2 cis''2\n", "c1") + "\n"


def test_the_plan_to_be_read() -> None:
    result = lyfinger("pedals", "Parts/fog-signals.ly", folder=SAMPLES)
    assert (result.status, result.err) == (0, "")
    lines = result.out.decode().splitlines()
    assert lines[0] == "Parts/fog-signals.ly:79:1: player 1"
    assert lines[1] == "  start    D♮ C♮ B♭ | E♮ F♯ G♮ A♮"
    assert "  bar 3, beat 1  F♮  right foot  Parts/fog-signals.ly:23:3  (not marked)" in lines


def test_the_plan_as_json() -> None:
    result = lyfinger("pedals", "-", "--format", "json", stdin=NO_PLAN.encode())
    player = json.loads(result.out)["players"][0]
    assert [(one["bar"], one["beat"], one["pedal"], one["foot"]) for one in player["changes"]] == [
        (1, "3", "C♯", "left")
    ]
    assert [one["what"] for one in player["difficulties"]] == ["a pedal moves under a string that sounds"]


def test_a_respelling_is_a_diff_that_patch_applies(tmp_path: Path) -> None:
    part = tmp_path / "part.ly"
    part.write_text(NO_PLAN)
    before = lyfinger("check", "part.ly", folder=tmp_path)
    assert before.status == 1
    result = lyfinger("pedals", "--respell", "part.ly", folder=tmp_path)
    assert result.status == 1
    assert "with 1 note respelled, none is left" in result.err
    assert part.read_text() == NO_PLAN
    subprocess.run(["patch", "-p0"], input=result.out, cwd=tmp_path, check=True, capture_output=True)
    assert part.read_text() == NO_PLAN.replace("cis''", "des''")
    assert lyfinger("check", "part.ly", folder=tmp_path).status == 0
    again = lyfinger("pedals", "--respell", "part.ly", folder=tmp_path)
    assert (again.status, again.out) == (0, b"")
    assert "nothing need be respelled" in again.err


def test_no_twin_helps() -> None:
    result = lyfinger("pedals", "--respell", "-", stdin=staves("r2 <dis'' e''>2", "d1").encode())
    assert (result.status, result.out) == (0, b"")
    assert "no twin helps" in result.err


def test_mark_says_that_it_can_not_be_pedalled() -> None:
    result = lyfinger("mark", "--pedals", "-", stdin=NO_PLAN.encode())
    assert result.status == 0
    assert "1 change of the pedals can't be made as written" in result.err


def test_a_lever_harp_has_levers(tmp_path: Path) -> None:
    """Usual tuning E♭ major, levers mostly by the left hand: [P] D. Perrett."""
    (tmp_path / "lyfinger.toml").write_text('[harp]\nprofile = "lever-34"\n')
    (tmp_path / "part.ly").write_text(staves("a'4 f'' fis''2", "es1") + "\n")
    result = lyfinger("pedals", "part.ly", folder=tmp_path)
    assert "levers up before the start: A4" in result.out.decode()
    assert "bar 1, beat 3  F♯5  lever up" in result.out.decode()
    assert lyfinger("pedals", "--format", "json", "part.ly", folder=tmp_path).status == 0
    refused = lyfinger("mark", "--pedals", "part.ly", folder=tmp_path)
    assert refused.status == 2
    assert "--pedals is for a pedal harp" in refused.err


def test_the_tuning_is_a_setting(tmp_path: Path) -> None:
    (tmp_path / "lyfinger.toml").write_text('[harp]\nprofile = "lever-34"\ntuning = "C"\n')
    (tmp_path / "part.ly").write_text(staves("a'4 fis''2.", "e1") + "\n")
    assert "levers up before the start: F♯5" in lyfinger("pedals", "part.ly", folder=tmp_path).out.decode()


def test_a_few_bars_alone_have_no_pedals_of_their_own() -> None:
    refused = lyfinger("mark", "--pedals", "--bars", "1", "-", stdin=NO_PLAN.encode())
    assert refused.status == 2
    assert "--pedals is for whole parts" in refused.err


def test_where_nothing_counts_there_is_no_bar() -> None:
    layout = "\\layout { \\context { \\Score \\remove Timing_translator } }\n"
    source = (layout + staves("f''2 fis''2", "c1")).encode()
    result = lyfinger("pedals", "-", "--format", "json", stdin=source)
    changes = json.loads(result.out)["players"][0]["changes"]
    assert [(one["bar"], one["beat"], one["pedal"]) for one in changes] == [(None, None, "F♯")]
    assert "  unmeasured  F♯  right foot" in lyfinger("pedals", "-", stdin=source).out.decode()


def test_the_bars_are_those_of_the_players_staves() -> None:
    harp = staves("\\time 2/4 f''2 d'' fis'' g''", "\\time 2/4 c2 c c c").removeprefix("\\score {").removesuffix("}")
    flute = "\\new Staff \\with { instrumentName = Flute } { \\time 3/1 c''1 c'' }"
    source = f"\\layout {{ \\enablePolymeter }}\n<< {flute} {harp} >>"
    result = lyfinger("pedals", "-", "--format", "json", stdin=source.encode())
    changes = [one for player in json.loads(result.out)["players"] for one in player["changes"]]
    assert [(one["bar"], one["beat"], one["pedal"]) for one in changes] == [(2, "1", "F♯")]
