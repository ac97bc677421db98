"""Placing brackets and digits left of chords: in the source, and as the typesetter takes them."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.referee.engraver import run
from tests.whole.command import SAMPLES, lyfinger, marked

HEAD = (
    "\\layout { \\context { \\Voice \\consists Horizontal_bracket_engraver "
    "\\override HorizontalBracket.bracket-flare = #'(0 . 0) \\override HorizontalBracket.padding = #1.8 } } "
)
UP = "-\\tweak direction #UP -\\startGroup"
GLUED = "-\\tweak direction #UP - \\startGroup "


def _marked(notes: str, *options: str, staff: str = "RH") -> str:
    source = f'\\version "2.24.0"\n\\new Staff = "{staff}" {{ \\tempo 4 = 100 {notes} }}\n'
    return marked(source.encode(), *options).decode()


#: Notes, staff, and the notes with brackets. Which notes are one placing is the search's.
FIGURES = [
    ("c'8 e' g' c''", "RH", f"c'8^4{UP} e'^3 g'^2 c''^1-\\stopGroup"),
    ("c'8 e' g' c''", "LH", "c'8_4-\\startGroup e'_3 g'_2 c''_1-\\stopGroup"),
    ("c'8( e' g' c'')", "RH", f"c'8^4{UP}( e'^3 g'^2 c''^1-\\stopGroup)"),
    ("c'8e'8g'8c''8", "RH", f"c'8^4{GLUED}e'8^3g'8^2c''8^1-\\stopGroup"),
    ("c'8 d' e' f' g' a' b' c''", "RH", f"c'8^4{UP} d'^3 e'^2 f'^1-\\stopGroup g'^4{UP} a'^3 b'^2 c''^1-\\stopGroup"),
]


@pytest.mark.parametrize(("notes", "staff", "wanted"), FIGURES)
def test_a_placing_is_bracketed(notes: str, staff: str, wanted: str) -> None:
    text = _marked(notes, "--brackets", staff=staff)
    assert f"\\tempo 4 = 100 {wanted} }}" in text
    assert text.startswith(f'{HEAD}\\version "2.24.0"\n')


#: Where no bracket is drawn.
BARE = [
    ("<c' e' g'>2 r2", "a chord is one event"),
    ("c'4 r4", "a lone note"),
    ("c'8\\startGroup e' g' c''\\stopGroup", "the source has brackets of its own"),
    ("c'8-4 e'-3 g'-2 c''-1", "no digit goes in"),
    ("\\autoChange { c'8 e' g' c'' }", "it might lead into another staff"),
    ("\\partCombine { c'8 e' g' c'' } { s2 }", "it might lead into another voice"),
]


@pytest.mark.parametrize(("notes", "why"), BARE)
def test_no_bracket_is_added(notes: str, why: str) -> None:
    text = _marked(notes, "--brackets")
    assert text.count("Group") == notes.count("Group"), why
    assert "\\layout" not in text


def test_a_note_in_two_figures_gets_a_bracket_only_where_they_agree() -> None:
    tune = '\\version "2.24.0"\ntune = { c\'8 e\' g\' }\n\\new Staff = "RH" { %s }\n'
    alike = marked((tune % "\\tune r8 r2 \\tune r8").encode(), "--brackets").decode()
    tune = tune.replace("c'8 e' g'", "c'8-4 e'-3 g'-2")
    once = marked((tune % "\\tune c''8").encode(), "--brackets").decode()
    unlike = marked((tune % "\\tune r8 r2 \\tune c''8").encode(), "--brackets").decode()
    assert "\\startGroup" in alike
    assert "c''8^1-\\stopGroup" in once
    assert "c''8^1 }" in unlike
    assert "\\startGroup" not in unlike


def test_a_byte_order_mark_stays_first() -> None:
    text = marked(b"\xef\xbb\xbf\\new Staff = \"RH\" { c'8 e' g' c'' }\n", "--brackets")
    assert text.startswith(b"\xef\xbb\xbf\\layout")


def test_digits_of_chords_go_left_of_the_heads() -> None:
    text = _marked("<c' e' g'>2 c'8 e' g' c''", "--chords", "left")
    assert "<c'-3 e'-2 g'-1>2 c'8^4 e'^3 g'^2 c''^1" in text
    assert text.startswith("\\layout { \\context { \\Voice fingeringOrientations = #'(left) } } \\version")


SIGNS = ("--slides", "--crossings", "--hand-signs")
STYLES = [
    ("--brackets",),
    ("--chords", "left"),
    ("--brackets", "--chords", "left", "--density", "placings"),
    SIGNS,
    (*SIGNS, "--brackets", "--density", "needed"),
]


@pytest.mark.parametrize("options", STYLES)
def test_samples_engrave_without_a_word_and_a_second_run_adds_nothing(options: tuple[str, ...], tmp_path: Path) -> None:
    names = ("Parts/lantern-walk.ly", "Parts/drunken-sailor.ly", "Parts/ferry-harp.ly")
    once, twice = tmp_path / "once", tmp_path / "twice"
    assert lyfinger("mark", *names, *options, "--output-dir", once, folder=SAMPLES).status == 0
    shutil.copy(SAMPLES / "lyfinger.toml", once)
    assert lyfinger("mark", *names, *options, "--output-dir", twice, folder=once).status == 0
    for name in names:
        assert (twice / name).read_bytes() == (once / name).read_bytes()
        log = run(["--loglevel=WARNING", "-dno-print-pages", "-o", tmp_path / "page", once / name], folder=tmp_path)
        assert (log.returncode, log.stderr) == (0, "")


@pytest.mark.parametrize(
    ("text", "said"), [("chords = 'beside'", '"stacked", "behind" or "left"'), ("brackets = 1", "true or false")]
)
def test_settings_are_checked(text: str, said: str, tmp_path: Path) -> None:
    (tmp_path / "lyfinger.toml").write_text(f"[print]\n{text}\n")
    (tmp_path / "part.ly").write_text("{ c'4 }\n")
    done = lyfinger("mark", "part.ly", folder=tmp_path)
    assert done.status == 2
    assert f"must be {said}" in done.err
