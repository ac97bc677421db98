"""Digits behind chords, and digits outside slurs: in the source, read again, and taken out."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.referee.engraver import run
from tests.referee.outlines import columns, is_column, outlines
from tests.referee.pictures import fingerings, loose_fingerings
from tests.whole.command import READING, SAMPLES, lyfinger, marked

BEHIND = ("--chords", "behind")
OUTSIDE = (
    "\\override Fingering.outside-staff-priority = "
    "#(lambda (digit) (and (eqv? Y (ly:grob-property digit 'side-axis)) 50)) "
)


def _source(notes: str, staff: str = "RH") -> str:
    return f'\\version "2.24.0"\n\\new Staff = "{staff}" {{ \\tempo 4 = 60 {notes} }}\n'


CHORD = "<c' d' g'>2 r2"

#: Notes, staff, and the notes with their digits.
CHORDS = [
    ("<c' d' g'>2 r2", "RH", "<c' d' g'>2^3^2^1 r2"),
    ("<g' d' c'>2 r2", "RH", "<g' d' c'>2^3^2^1 r2"),  # from the heads outward, however the chord is written
    ("<c d g>2 r2", "LH", "<c d g>2_1_2_3 r2"),  # below, the highest string is nearest the heads
    ("<c' e' g'>4( <d' f' a'>) r2", "RH", "<c' e' g'>4^3^2^1( <d' f' a'>^3^2^1) r2"),
    ("<c' e'>2:32 r2", "RH", "<c' e'>2^2^1:32 r2"),
    ("c'4 r4 r2", "RH", "c'4^1 r4 r2"),
    ("<c'>4 r4 r2", "RH", "<c'^1>4 r4 r2"),  # of one note there is no column
    ("<c' e' g'-1>2 r2", "RH", "<c'^3 e'^2 g'-1>2 r2"),  # the others stay inside with a locked digit
    ("<c' e'-\\2>2 r2", "RH", "<c' e'-\\2>2^2^1 r2"),
    ("<c' e'>2( -1 <d' f'>)", "RH", "<c'^2 e'^1>2( -1 <d' f'>^2^1)"),  # a digit that belongs to no note is there
]


@pytest.mark.parametrize(("notes", "staff", "wanted"), CHORDS)
def test_digits_behind_a_chord(notes: str, staff: str, wanted: str) -> None:
    data = marked(_source(notes, staff).encode(), *BEHIND)
    assert f"\\tempo 4 = 60 {wanted} }}" in data.decode()
    assert marked(data, *BEHIND) == data
    assert marked(data) == data


#: What goes behind a chord where nobody asks for it: what would be no column inside.
SECONDS = [
    ("<c' d' g'>2 <c' e' g'>2", "RH", "<c' d' g'>2^3^2^1 <c'^3 e'^2 g'^1>2"),
    ("<c' d' g'>2 <c' e' g'>2", "LH", "<c' d' g'>2_1_2_3 <c'_3 e'_2 g'_1>2"),
    ("<d' c'>4( <g' f'>) r2", "RH", "<d' c'>4^2^1( <g' f'>^2^1) r2"),
    ("<c' des'>2 r2", "RH", "<c' des'>2^2^1 r2"),  # heads are apart by their letters, whatever the semitones
    ("<c' d'>2:32 r2", "RH", "<c' d'>2^2^1:32 r2"),
    ("<c' d'-2 g'>2 r2", "RH", "<c'^3 d'-2 g'^1>2 r2"),  # a locked digit keeps the others inside
    ("<c'-3 d'-2 g'-1>2 r2", "RH", "<c'-3 d'-2 g'-1>2 r2"),
    ("<c' d' g'>2-1 r2", "RH", "<c'^3 d'^2 g'^1>2-1 r2"),  # so does one that belongs to no note
    ("<c'~ d' g'>4 <c' d'> r2", "RH", "<c'~ d' g'>4^3^2^1 <c' d'^2> r2"),  # a tied note has none
    ("<c' e'>4 <c' d' g'>2(-1 <d' g' a'>4)", "RH", "<c'^2 e'^1>4 <c'^3 d'^2 g'^1>2(-1 <d' g' a'>4^3^2^1)"),
]


@pytest.mark.parametrize(("notes", "staff", "wanted"), SECONDS)
def test_a_chord_with_a_second_has_a_column_by_itself(notes: str, staff: str, wanted: str) -> None:
    source = _source(notes, staff).encode()
    data = marked(source)
    assert f"\\tempo 4 = 60 {wanted}" in data.decode()
    assert marked(data) == data
    cleared = lyfinger("clear", "-", "--stdin-filename", "test.ly", stdin=data).out
    assert cleared == lyfinger("clear", "-", "--stdin-filename", "test.ly", stdin=source).out


def test_a_second_is_engraved_as_one_column(tmp_path: Path) -> None:
    """Low, high, inverted, on a beam, with a tie: each chord's digits stand one over the other."""
    notes = (
        "<c' d' g' a'>4 <f' g'> <c'' d'' g'' a''> r | <b' c''>8 <g' a'> <e'~ f' a'>4 <e' f'>2 | <d' e'>4( <a' b'>) r2"
    )
    path = tmp_path / "part.ly"
    for staff in ("RH", "LH"):
        path.write_bytes(marked(_source(notes, staff).encode()))
        found = columns(outlines(path))
        assert len(found) == 9
        assert all(is_column(stack) for stack in found)
        assert sum(len(stack) for stack in found) == 22


def test_clear_takes_them_out() -> None:
    source = _source("<c' d' g'>2( <e' g'>4) r").encode()
    both = marked(source, *BEHIND, "--outside")
    assert both.count(b"^") == 5
    assert lyfinger("clear", "-", "--stdin-filename", "test.ly", stdin=both).out == source


@pytest.mark.parametrize("path", READING, ids=lambda path: path.stem)
def test_whatever_is_read_can_be_written_so(path: Path, tmp_path: Path) -> None:
    """The proof agrees, and a second run adds nothing."""
    inside = lyfinger("mark", path, "-o", tmp_path / "inside.ly", "-I", path.parent)
    first = lyfinger("mark", path, *BEHIND, "-o", tmp_path / "once.ly", "-I", path.parent)
    assert (first.status, first.err) == (inside.status, inside.err)
    if first.status == 0:
        again = lyfinger("mark", tmp_path / "once.ly", *BEHIND, "-o", tmp_path / "twice.ly", "-I", path.parent)
        assert again.status == 0
        assert (tmp_path / "twice.ly").read_bytes() == (tmp_path / "once.ly").read_bytes()


def test_the_typesetter_prints_the_same_digits(tmp_path: Path) -> None:
    """Those of a chord behind it instead of on its notes, as many, and no word about it."""
    name = "Parts/lantern-walk.ly"
    for folder, options in (("inside", ()), ("behind", (*BEHIND, "--outside"))):
        assert lyfinger("mark", name, *options, "--output-dir", tmp_path / folder, folder=SAMPLES).status == 0
    inside, behind = (fingerings(tmp_path / folder / name) for folder in ("inside", "behind"))
    loose, few = (loose_fingerings(tmp_path / folder / name) for folder in ("behind", "inside"))
    assert len(few) == 8  # of two chords with a second, wherever digits shall go
    assert len(loose) > 200
    before = sorted([(one.moment, one.text) for one in inside] + [(one[3], one[4]) for one in few])
    assert sorted([(one.moment, one.text) for one in behind] + [(one[3], one[4]) for one in loose]) == before
    log = run(["--loglevel=WARNING", "-dno-print-pages", tmp_path / "behind" / name], folder=tmp_path)
    assert (log.returncode, log.stderr) == (0, "")


@pytest.mark.parametrize("options", [("--outside",), (*BEHIND, "--outside", "--brackets", "--density", "placings")])
def test_a_second_run_over_the_samples_adds_nothing(options: tuple[str, ...], tmp_path: Path) -> None:
    names = ("Parts/lantern-walk.ly", "Parts/ferry-harp.ly", "Teaching/stepping-stones.ly")
    once, twice = tmp_path / "once", tmp_path / "twice"
    assert lyfinger("mark", *names, *options, "--root", ".", "--output-dir", once, folder=SAMPLES).status == 0
    for settings in ("lyfinger.toml", "Teaching/lyfinger.toml"):
        shutil.copy(SAMPLES / settings, once / settings)
    assert lyfinger("mark", *names, *options, "--root", ".", "--output-dir", twice, folder=once).status == 0
    for name in names:
        assert (twice / name).read_bytes() == (once / name).read_bytes()


def test_the_head_says_it_once_with_the_rest() -> None:
    text = marked(_source("c'8 e' g' c''").encode(), "--outside", "--brackets", "--chords", "left").decode()
    assert text.count(OUTSIDE) == text.count("\\layout") == 1
    assert "\\layout" not in marked(_source("r1").encode(), "--outside").decode()


def test_a_score_that_says_it_itself_keeps_its_word() -> None:
    own = "\\layout { \\context { \\Score \\override Fingering.outside-staff-priority = #40 } }\n" + _source("c'4 d'")
    assert marked(own.encode(), "--outside").decode().count("outside-staff-priority") == 1


def test_every_style_together_goes_in_once_and_out_again() -> None:
    """Digits with a sign of their own stay inside the chord."""
    source = _source("c'16 d' e' f' g' a' b' c'' <c' e' g'>4 <e' g' c''> | <d' e'>8 q c' d'").encode()
    options = (*BEHIND, "--outside", "--brackets", "--slides", "--crossings", "--hand-signs")
    once = marked(source, *options)
    assert b"<c' e' g'>4^3^2^1" in once
    assert marked(once, *options) == once
    assert lyfinger("clear", "-", "--stdin-filename", "test.ly", stdin=once).out == source


def test_clear_leaves_the_head_while_a_digit_is_left() -> None:
    both = marked(_source("<c' e' g'>2 r | <d' f' a'>2 r"), *BEHIND, "--outside")
    part = lyfinger("clear", "-", "--stdin-filename", "test.ly", "--bars", "2", stdin=both).out.decode()
    assert OUTSIDE in part
    assert part.count("^") == 3


def test_in_a_document(tmp_path: Path) -> None:
    """A snippet that is a score gets its own head; a fragment has no place for one, and is told so."""
    whole = tmp_path / "whole.tex"
    whole.write_text(f"\\begin{{lilypond}}\n{_source(CHORD)}\\end{{lilypond}}\n")
    text = lyfinger("mark", whole, *BEHIND, "--outside").out.decode()
    assert text.startswith("\\begin{lilypond}\n")
    assert OUTSIDE in text
    assert "<c' d' g'>2^3^2^1" in text
    part = tmp_path / "part.tex"
    part.write_text("\\begin[fragment]{lilypond}\n\\new Staff = \"RH\" { <c' d' g'>2 r2 }\n\\end{lilypond}\n")
    done = lyfinger("mark", part, *BEHIND, "--outside")
    assert "<c' d' g'>2^3^2^1" in done.out.decode()
    assert OUTSIDE not in done.out.decode()
    assert "sign-left-out" in done.err


def test_a_diff_adds_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "part.ly"
    path.write_text(_source("<c' d' g'>2 r2"))
    lines = lyfinger("mark", path, *BEHIND, "--diff").out.decode().splitlines()
    assert [line for line in lines if line[0] in "+-"][2:] == [
        "-\\new Staff = \"RH\" { \\tempo 4 = 60 <c' d' g'>2 r2 }",
        "+\\new Staff = \"RH\" { \\tempo 4 = 60 <c' d' g'>2^3^2^1 r2 }",
    ]


def test_settings(tmp_path: Path) -> None:
    (tmp_path / "lyfinger.toml").write_text("[print]\nchords = 'behind'\noutside = true\n")
    (tmp_path / "part.ly").write_text(_source("<c' d' g'>2 r2"))
    text = lyfinger("mark", "part.ly", folder=tmp_path).out.decode()
    assert "<c' d' g'>2^3^2^1" in text
    assert OUTSIDE in text


def test_a_chord_rolled_across_the_staves_has_its_digits_above_and_below() -> None:
    """One arpeggio sign for both would run through digits left of the heads."""
    chords = "<c' e' g'>2\\arpeggio <c' e'>2"
    apart = marked(_source(chords).encode(), "--chords", "left").decode()
    layout = "\\layout { \\context { \\Score connectArpeggios = ##t } }\n"
    joined = marked((layout + _source(chords)).encode(), "--chords", "left").decode()
    assert "<c'-3 e'-2 g'-1>2\\arpeggio" in apart
    assert "<c' e' g'>2^3^2^1\\arpeggio <c'-2 e'-1>2" in joined
