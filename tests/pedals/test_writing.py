"""The marks in the source: their text, their place, and that a second run adds nothing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from lyfinger.pedals.writing import change_text, start_text

from ..referee.events import played
from ..whole.command import SAMPLES, lyfinger, mark_samples
from .music import staves

SAMPLE = SAMPLES / "Parts" / "fog-signals.ly"


def pedalled(source: str, *options: str) -> str:
    result = lyfinger("mark", "-", "--pedals", "--stdin-filename", "test.ly", *options, stdin=source.encode())
    assert result.status == 0, result.err
    return result.out.decode()


def bare(source: str) -> str:
    """Without digits, to be read more easily."""
    return re.sub(r"(?<=[\w'>,])[\^_][1-4](?!\d)", "", source)


def test_the_text_of_a_change() -> None:
    """Letter and sign; for two feet a stack, E F G A above D C B: [T]."""
    assert change_text({3: 1}) == "\\markup \\concat { F \\super \\sharp }"
    stack = "\\markup \\center-column { \\concat { F \\super \\sharp } \\concat { C \\super \\natural } }"
    assert change_text({0: 0, 3: 1}) == stack
    rows = change_text({0: 0, 3: 1, 5: -1, 6: -1})
    assert rows.index("F") < rows.index("A") < rows.index("C") < rows.index("B")


def test_the_start_is_the_typesetters_own_diagram() -> None:
    assert start_text((0, 0, -1, 0, 0, -1, -1)) == '\\markup \\harp-pedal "--^|^--^"'


CASES = [
    ("c''2 d''2 cis''1", "r1 r", "d''2_\\markup \\concat { C \\super \\sharp }", "below the upper staff"),
    ("r1 r r", "c2 d2 cis1", "d2^\\markup \\concat { C \\super \\sharp }", "above the lower staff"),
    ("<c'' e''>2 <d'' a''>\\arpeggio cis''1", "r1 r", "<d'' a''>_\\markup \\concat { C", "behind the chord"),
    ("c''4 r2.\\fermata cis''1", "r1 r", "r2._\\markup \\concat { C \\super \\sharp }\\fermata", "at a rest"),
    ("c''2 <d'' e''>4 q cis''1", "r1 r", "<d'' e''>4", "a repeated chord"),
    ("c''4 R1*3/4 cis''1", "r1 r", "R1*3/4_\\markup", "at a rest of many bars"),
]


@pytest.mark.parametrize(("upper", "lower", "wanted", "why"), CASES)
def test_places(upper: str, lower: str, wanted: str, why: str) -> None:
    assert wanted in bare(pedalled(staves(upper, lower))), why


def test_one_staff_alone() -> None:
    result = bare(pedalled("\\new Staff { c''2 d'' cis''1 }"))
    assert "d''2" not in result  # the duration is carried on
    assert "d''_\\markup \\concat { C \\super \\sharp }" in result


MUSIC = [
    staves("c''2 d'' cis''1", "r1 r"),
    staves("\\repeat volta 2 { f''2 g'' fis'' a'' } g''1", "r1 r r"),
    staves("\\repeat volta 2 { f''2 fis'' } \\alternative { { g''1 } { f''1 } } fis''1", "r1 r r r"),
    staves("c''4 d'' cis'' d'' r2 cis''4 d'' c''1", "c2 r es r a1"),
    staves("f''4_\"F#\" e''2 fis''4 gis''1", "r1 r"),
    staves("es''2\\glissando c''' fis''1", "r1 r"),
    staves("\\acciaccatura cis''8 c''2 \\grace { des''16 es'' } d''2 c''1", "r1 r"),
    staves("r2 cis''2 c''1", "c1 r"),
    "x = { c''2 d'' cis''2 d'' } " + staves("\\x \\x", "r1*4"),
    "x = { c''2 d'' } " + staves("\\x cis''1 \\x cis''1", "r1*4"),
    staves("c''2 d''4:32 e'' cis''1", "r1 r"),
]


@pytest.mark.parametrize("source", MUSIC)
def test_a_second_run_changes_nothing(source: str) -> None:
    once = pedalled(source)
    assert "\\harp-pedal" in once
    assert pedalled(once) == once


def test_a_note_that_sounds_twice_gets_a_mark_only_where_it_is_true_each_time() -> None:
    """The variable's D can't say C♯: it must be C again before the variable comes back."""
    source = "x = { c''2 d'' } " + staves("\\x cis''1 \\x cis''1", "r1*4")
    result = bare(pedalled(source))
    assert result.startswith("x = { c''2")
    assert "d''_\\markup \\concat { C \\super \\sharp }" in result or "cis''1_\\markup" in result


def test_a_mark_of_the_scores_own_is_kept(tmp_path: Path) -> None:
    """Named in ``[pedals]``, it is read, kept and planned around."""
    define = "#(define-markup-command (pedalMove layout props text) (markup?) (interpret-markup layout props text))\n"
    source = define + staves("f''4_\\markup \\pedalMove \"En\" g'' a''2 fis''1", "r1 r")
    (tmp_path / "lyfinger.toml").write_text('[pedals]\nchanges = ["pedalMove"]\n')
    (tmp_path / "part.ly").write_text(source)
    result = lyfinger("pedals", "part.ly", folder=tmp_path)
    assert b"F\xe2\x99\xaf" in result.out
    checked = lyfinger("check", "part.ly", folder=tmp_path)
    assert b"[pedal-mark-missing]" in checked.out
    marked = lyfinger("mark", "--pedals", "part.ly", folder=tmp_path)
    assert b'\\pedalMove "En"' in marked.out


def test_the_sample_engraves_and_sounds_as_before(tmp_path: Path) -> None:
    """The typesetter itself reads the marked sample: the same notes at the same moments."""
    result = lyfinger("mark", "Parts/fog-signals.ly", "--pedals", "--output-dir", tmp_path, folder=SAMPLES)
    assert result.status == 0, result.err
    before, after = (
        [(note.moment, note.grace, note.octave, note.step, note.alter) for note in played(path)[0].notes]
        for path in (SAMPLE, tmp_path / "Parts" / "fog-signals.ly")
    )
    assert before == after
    assert lyfinger("check", tmp_path / "Parts" / "fog-signals.ly").out == b""


def test_parts_that_have_all_their_marks_get_none(tmp_path: Path) -> None:
    """Marks among dynamics, and a diagram: read by the same rules."""
    plain, again = tmp_path / "plain", tmp_path / "pedals"
    roots = ("Parts/lantern-walk.ly", "Parts/ferry-harp.ly", "Scores/ferry.ly")
    mark_samples(SAMPLES, plain, roots)
    result = lyfinger("mark", *roots, "--pedals", "--root", ".", "--output-dir", again, folder=SAMPLES)
    assert result.status == 0, result.err
    for name in (*roots, "Notes/ferry-harp.ily"):
        assert (plain / name).read_bytes() == (again / name).read_bytes()


def test_without_the_option_nothing_of_it_is_loaded() -> None:
    import subprocess
    import sys

    code = (
        "import sys; from lyfinger.cli.main import main; main(sys.argv[1:]); "
        "sys.exit(any('pedals' in name.split('.') for name in sys.modules))"
    )
    command = [sys.executable, "-c", code, "mark", str(SAMPLE), "--diff"]
    assert subprocess.run(command, capture_output=True).returncode == 0
