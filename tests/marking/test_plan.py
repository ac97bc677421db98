"""The journey of a run, from several readings to one digit for each source note."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from lyfinger.config import Config
from lyfinger.marking.plan import Origin, Plan, make_plan, prove
from lyfinger.marking.player import player_of
from lyfinger.marking.proof import Changed
from lyfinger.reading.reader import read
from lyfinger.source.library import Library
from lyfinger.source.messages import Refused
from lyfinger.source.text import Place, SourceFile

HEAD = '\\version "2.24.0"\n'
TUNE = """\
upper = { c'8 d' e' f' <e' g' c''>4 q | r8 g' a' b' c''2 }
lower = { <c e g>4 q <c e g c'>2 | c8 e g c' c2 }
"""
PIANO = "\\new PianoStaff << \\new Staff = RH \\upper \\new Staff = LH \\lower >>\n"
PART = f'{HEAD}\\include "tune.ily"\n{PIANO}'
FULL = f"{HEAD}\\include \"tune.ily\"\n<< \\new Staff \\with {{ instrumentName = Flute }} {{ g''1 g'' }} {PIANO} >>\n"


def _plan(folder: Path, files: dict[str, str], config: Config | None = None) -> tuple[Plan, Library]:
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    library = Library(directory=folder)
    roots = [library.root(name) for name in files if name.endswith(".ly")]
    return make_plan([read(library.reopen(root), library) for root in roots], config or Config()), library


def _marked(folder: Path, files: dict[str, str], config: Config | None = None) -> dict[str, str]:
    plan, library = _plan(folder, files, config)
    return {
        file.name: outcome.data.decode() if isinstance(outcome, Changed) else file.text
        for file, outcome in prove(plan, library).items()
    }


def _one(folder: Path, music: str, config: Config | None = None) -> str:
    return _marked(folder, {"a.ly": HEAD + music}, config)["a.ly"].removeprefix(HEAD)


def test_a_part_and_a_score_are_decided_as_one_and_as_each_alone(tmp_path: Path) -> None:
    both = _marked(tmp_path, {"tune.ily": TUNE, "part.ly": PART, "full.ly": FULL})
    part = _marked(tmp_path, {"tune.ily": TUNE, "part.ly": PART})
    full = _marked(tmp_path, {"tune.ily": TUNE, "full.ly": FULL})
    assert both["tune.ily"] == part["tune.ily"] == full["tune.ily"] != TUNE
    assert both["part.ly"] == PART


def test_the_same_music_in_two_files_is_solved_once(tmp_path: Path) -> None:
    plan, _ = _plan(tmp_path, {"tune.ily": TUNE, "part.ly": PART, "full.ly": FULL})
    assert len(plan.passages) == 4
    assert len({id(item.answer) for item in plan.passages}) == 2
    assert [message.rule for message in plan.messages] == ["not-the-harp"]  # the flute


@pytest.mark.parametrize(
    ("music", "marked"),
    [
        # untouched: what has a digit, is tied to, is no note of a hand, or can't carry one
        ('\\new Staff = "RH" { c\'4-2 d\'^1 }', '\\new Staff = "RH" { c\'4-2 d\'^1 }'),
        ('\\new Staff = "RH" { c\'4-1-2 d\'\\thumb }', '\\new Staff = "RH" { c\'4-1-2 d\'\\thumb }'),
        ('\\new Staff = "RH" { r4 s4 R1 }', '\\new Staff = "RH" { r4 s4 R1 }'),
        ("\\new DrumStaff \\drummode { bd4 sn }", "\\new DrumStaff \\drummode { bd4 sn }"),
        # marked: the side is the hand's
        ('\\new Staff = "RH" { c\'2 ~ c\'2 }', '\\new Staff = "RH" { c\'2^1 ~ c\'2 }'),
        ('\\new Staff = "LH" { <c e>2 q }', '\\new Staff = "LH" { <c_2 e_1>2 q }'),
        ('\\new Staff = "LH" { c4 e g c\' }', '\\new Staff = "LH" { c4_4 e_3 g_2 c\'_1 }'),
        # or the voice's
        (
            '\\new Staff = "RH" << { e\'\'2 } \\\\ { c\'\'2 } >>',
            '\\new Staff = "RH" << { e\'\'2^1 } \\\\ { c\'\'2_2 } >>',
        ),
        ('\\new Staff = "RH" { \\voiceTwo <c\' e\'>1 }', '\\new Staff = "RH" { \\voiceTwo <c\'_2 e\'_1>1 }'),
        ('\\new Staff = "LH" { \\stemUp <c e>1 }', '\\new Staff = "LH" { \\stemUp <c^2 e^1>1 }'),
        # behind the duration, before every post-event
        ('\\new Staff = "RH" { c\'4.(\\p\\< d\'8)\\! }', '\\new Staff = "RH" { c\'4.^2(\\p\\< d\'8^1)\\! }'),
    ],
)  # fmt: skip
def test_what_is_written_and_what_is_not(tmp_path: Path, music: str, marked: str) -> None:
    assert _one(tmp_path, music) == marked


def test_a_note_of_both_hands_has_its_digit_above(tmp_path: Path) -> None:
    music = "m = { <c' e'>1 }\n\\new PianoStaff << \\new Staff = RH \\m \\new Staff = LH { r1 \\m } >>\n"
    assert _one(tmp_path, music).startswith("m = { <c'^2 e'^1>1 }\n")


def test_marking_twice_changes_nothing_more(tmp_path: Path) -> None:
    once = _marked(tmp_path, {"tune.ily": TUNE, "part.ly": PART, "full.ly": FULL})
    assert _marked(tmp_path, once) == once


def test_origins(tmp_path: Path) -> None:
    plan, _ = _plan(
        tmp_path, {"a.ly": HEAD + "<< \\new Staff = \"RH\" { c'4 ~ c' d'-2 e'-1-2 } \\new Staff { f'1 } >>"}
    )
    (rows,) = plan.roots[0].fingered
    by_pitch = {
        (note.pitch.name, note.plucked): row for note, row in zip(plan.roots[0].scores[0].notes, rows, strict=True)
    }
    assert by_pitch["C4", True].origin is Origin.SUGGESTED
    assert (by_pitch["C4", False].finger, by_pitch["C4", False].origin, by_pitch["C4", False].placing) == (None,) * 3
    assert (by_pitch["D4", True].finger, by_pitch["D4", True].origin) == (2, Origin.LOCKED)
    assert (by_pitch["E4", True].finger, by_pitch["E4", True].origin) == (1, Origin.LOCKED)  # the first that names one
    assert by_pitch["D4", True].placing is not None


def test_the_default_tempo_counts(tmp_path: Path) -> None:
    plan, _ = _plan(tmp_path, {"a.ly": HEAD + "\\new Staff = \"RH\" { c'4 d' }"}, Config(tempo=Fraction(100)))
    assert plan.passages[0].part.passage.steps[0].gap == 600


def test_an_unprinted_score_is_not_marked(tmp_path: Path) -> None:
    music = '\\score { \\new Staff = "RH" { c\'1 } \\midi { } }\n'
    assert _one(tmp_path, music) == music


def test_a_harp_that_nobody_knows_is_refused_with_its_line() -> None:
    file = SourceFile("lyfinger.toml", b"[harp]\nprofile = 'lute'\n")
    with pytest.raises(Refused, match=r"^lyfinger\.toml:2:1: error: harp\.profile must be one of pedal, small-pedal, "):
        player_of(Config(harp="lute", places={"harp.profile": Place(file, 7)}))


def test_nothing_is_written_if_the_reader_finds_other_music(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan, library = _plan(tmp_path, {"a.ly": HEAD + "\\new Staff = \"RH\" { c'4 d' }"})
    monkeypatch.setattr("lyfinger.marking.digits.Digit.text", property(lambda self: f"^{self.finger} c'"))
    with pytest.raises(Refused, match=r"internal error: .*; nothing is written"):
        prove(plan, library)
