"""The referee is itself refereed: small sources, and what must be heard in them by the rules of the language.

Expectations: from memory of LilyPond's manual (octaves, moments, ties), worked out by hand.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from .agreement import compare
from .engraver import RefereeError
from .events import Origin, PlayedNote, ScoreEvents, played, rule
from .pictures import engrave, fingerings, loose_fingerings

SIGNS = {Fraction(0): "", Fraction(1): "#", Fraction(-1): "b", Fraction(2): "##", Fraction(-2): "bb"}


def spelled(note: PlayedNote) -> str:
    assert note.step is not None
    assert note.alter is not None
    grace = f"{note.grace}" if note.grace else ""
    tie = "~" if note.tied else ""
    return f"{'cdefgab'[note.step]}{SIGNS[note.alter]}{note.octave}@{note.moment}{grace}{tie}"


def scores(folder: Path, source: str) -> list[ScoreEvents]:
    path = folder / "snippet.ly"
    path.write_text('\\version "2.24.0"\n' + source, encoding="utf-8", newline="")
    return played(path)


def heard(folder: Path, source: str) -> str:
    return " ".join(spelled(note) for score in scores(folder, source) for note in score.notes)


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        pytest.param("{ c'4 d' }", "c4@0 d4@1/4", id="absolute"),
        pytest.param(r"\relative c'' { c4 g' d, }", "c5@0 g5@1/4 d4@1/2", id="relative"),
        pytest.param(r"\relative { c'4 <e g c> d }", "c4@0 e4@1/4 g4@1/4 c5@1/4 d4@1/2", id="relative chord"),
        pytest.param(r"\fixed c'' { c4 ges, }", "c5@0 gb4@1/4", id="fixed"),
        pytest.param(r"{ <c' e'>4 r q }", "c4@0 e4@0 c4@1/2 e4@1/2", id="repeated chord"),
        pytest.param("{ c'4 8 8 }", "c4@0 c4@1/4 c4@3/8", id="bare durations"),
        pytest.param(r"{ \tuplet 3/2 { c'8 d' e' } f'4 }", "c4@0 d4@1/12 e4@1/6 f4@1/4", id="tuplet"),
        pytest.param(r"{ c'4 \grace { d'16 e' } f'4 }", "c4@0 d4@1/4-1/8 e4@1/4-1/16 f4@1/4", id="grace"),
        pytest.param(r"{ c'2 ~ 4 <c' e'~>4 q }", "c4@0 c4@1/2~ c4@3/4 e4@3/4 c4@1 e4@1~", id="ties"),
        pytest.param(
            r"{ << { c''4 d'' } \\ { e'8 f' g'4 } >> a'4 }",
            "c5@0 e4@0 f4@1/8 d5@1/4 g4@1/4 a4@1/2",
            id="two voices",
        ),
        pytest.param(
            r"{ \repeat volta 2 { c'4 } \alternative { d' e' } }", "c4@0 d4@1/4 e4@1/2", id="volta, printed once"
        ),
        pytest.param(r"{ \repeat unfold 3 c'4 }", "c4@0 c4@1/4 c4@1/2", id="unfold"),
        pytest.param(r"{ \repeat tremolo 4 { c'32 e' } }", "c4@0 e4@1/8", id="tremolo"),
        pytest.param(r"{ \repeat percent 2 { c'4 } d'4 }", "c4@0 d4@1/2", id="percent prints no second note"),
        pytest.param(r"\removeWithTag #'x { c'4 \tag #'x d'4 e' }", "c4@0 e4@1/4", id="removed tag"),
        pytest.param(r"\transpose c d { c'4 e' }", "d4@0 f#4@1/4", id="transpose"),
        pytest.param(r"{ \key d \major c'4 \transposition bes g' }", "c4@0 g4@1/4", id="pitches that do not sound"),
        pytest.param(r"{ r4 R1 s4 c'4 \skip 4 d' }", "c4@3/2 d4@2", id="silences"),
        pytest.param(r"{ c'4*2/3 d'4*1/3 e' }", "c4@0 d4@1/6 e4@1/4", id="scaled durations"),
        pytest.param('\\language "english"\n{ cs\'4 bf ass2 }', "c#4@0 bb3@1/4 a##3@1/2", id="language"),
        pytest.param(r"{ c'4 \repeatTie d'\laissezVibrer }", "c4@0~ d4@1/4", id="half ties"),
    ],
)
def test_pitches_and_moments(tmp_path: Path, source: str, expected: str) -> None:
    assert heard(tmp_path, source) == expected


def test_bars_and_beats(tmp_path: Path) -> None:
    [score] = scores(tmp_path, r"{ \time 3/8 \partial 8 c'8 d'8 e' f' g'4. \time 2/4 a'4 b' }")
    assert [(note.bar, int(note.beat)) for note in score.notes] == [
        (1, 0),
        (1, 1),
        (1, 2),
        (1, 3),
        (2, 1),
        (3, 1),
        (3, 2),
    ]


def test_the_bar_of_all_staves_when_one_of_them_sets_it(tmp_path: Path) -> None:
    [score] = scores(tmp_path, r"<< \new Staff { c'1 d' } \new Staff { c1 \set Score.currentBarNumber = #40 d } >>")
    assert [(note.bar, int(note.moment)) for note in score.notes] == [(1, 0), (1, 0), (40, 1), (40, 1)]


def test_places_count_tabs_to_eight_and_characters_from_nought(tmp_path: Path) -> None:
    [score] = scores(tmp_path, "{ c'4^\"é\" d'\n\te'  \tf' }")
    assert [(note.line, note.column, note.char) for note in score.notes] == [
        (2, 3, 2),
        (2, 11, 10),
        (3, 9, 1),
        (3, 17, 6),
    ]


def test_what_stands_at_the_origin(tmp_path: Path) -> None:
    [score] = scores(tmp_path, r"{ c'4 <d'>4 q4 8 \tweak color #red e' <f' \parenthesize g'> }")
    assert [note.origin for note in score.notes] == [
        Origin.PITCH,
        Origin.PITCH,
        Origin.REPEATED_CHORD,
        Origin.BARE_DURATION,
        Origin.COMMAND,
        Origin.PITCH,
        Origin.COMMAND,
    ]


def test_staff_and_voice(tmp_path: Path) -> None:
    source = r"""\new PianoStaff <<
        \new Staff = "up" \new Voice = "rh" { c''4 \change Staff = "down" c' }
        \new Staff = "down" { \clef bass c2 } >>"""
    [score] = scores(tmp_path, source)
    assert [(note.staff.name, note.voice.name) for note in score.notes] == [("up", "rh"), ("down", ""), ("down", "rh")]


def test_only_printed_scores_count(tmp_path: Path) -> None:
    source = r"\score { { c'1 } \midi {} } \score { { d'1 } \layout {} \midi {} } { e'1 } \markup \score { { f'1 } }"
    assert [[spelled(note) for note in score.notes] for score in scores(tmp_path, source)] == [["d4@0"], ["e4@0"]]


def test_scores_of_books_keep_their_order(tmp_path: Path) -> None:
    source = r"\bookpart { \score { { c'1 } } { d'1 } } \bookpart { { e'1 } }"
    assert heard(tmp_path, source) == "c4@0 d4@0 e4@0"


def test_percussion_has_no_pitch_and_cues_have_their_voice(tmp_path: Path) -> None:
    source = (
        "\\addQuote oboe { c''1 }\n<< \\new DrumStaff \\drummode { sn1 } \\new Staff \\cueDuring oboe #UP { R1 } >>"
    )
    [score] = scores(tmp_path, source)
    assert [(note.step, note.voice.kind) for note in score.notes] == [(None, "DrumVoice"), (0, "CueVoice")]


def test_includes_are_named_where_they_stand(tmp_path: Path) -> None:
    (tmp_path / "notes").mkdir()
    (tmp_path / "far").mkdir()
    (tmp_path / "notes" / "harp.ily").write_text('harp = { c\'4 }\n\\include "more.ily"\n')
    (tmp_path / "notes" / "more.ily").write_text("more = { d'4 }\n")
    (tmp_path / "far" / "else.ily").write_text("{ e'4 }\n")
    path = tmp_path / "score.ly"
    path.write_text(
        '\\version "2.24.0"\n\\include "notes/harp.ily"\n{ \\harp \\more \\harp }\n'
        '\\include "else.ily"\n\\include "else.ily"\n'
    )
    found = [(note.file, note.line) for score in played(path, [tmp_path / "far"]) for note in score.notes]
    names = [(Path(file).resolve().relative_to(tmp_path.resolve()).as_posix(), line) for file, line in found]
    assert names == [
        ("notes/harp.ily", 1),
        ("notes/more.ily", 1),
        ("notes/harp.ily", 1),
        ("far/else.ily", 1),
        ("far/else.ily", 1),
    ]


def test_fingerings_and_their_notes(tmp_path: Path) -> None:
    path = tmp_path / "snippet.ly"
    path.write_text(
        '\\version "2.24.0"\n'
        "{ c'4-1-2 <c'-1 e'^2 g'>4_5 r4-1 <>-4 d'4-\\finger \"2-1\" \\rightHandFinger #1 "
        "<< { e''-3 } \\\\ { f'-4 } >> }\n"
    )
    assert [(f.line, f.column, f.text) for f in fingerings(path)] == [
        (2, 3, "1"),
        (2, 3, "2"),
        (2, 12, "1"),
        (2, 17, "2"),
        (2, 39, "2-1"),
        (2, 39, "4"),
        (2, 82, "3"),
        (2, 95, "4"),
    ]
    assert [(column, text) for _, _, column, _, text in loose_fingerings(path)] == [(26, "5"), (31, "1")]


def test_errors_in_the_source_are_told(tmp_path: Path) -> None:
    path = tmp_path / "snippet.ly"
    path.write_text("\\version \"2.24.0\"\n{ c'4 \\nosuchcommand d' }\n")
    assert rule(path).notes == 2
    assert "nosuchcommand" in rule(path).errors[0]
    with pytest.raises(RefereeError, match="nosuchcommand"):
        played(path)


def test_engraved_pages_are_pictures(tmp_path: Path) -> None:
    path = tmp_path / "two pages.ly"
    path.write_text("\\version \"2.24.0\"\n{ c'1 \\pageBreak d'1 }\n")
    pages = engrave(path, tmp_path / "pages", resolution=30)
    assert [page.name for page in pages] == ["two pages-page1.png", "two pages-page2.png"]
    assert all(page.read_bytes().startswith(b"\x89PNG") for page in pages)


def as_read(note: PlayedNote, **changed: object) -> dict[str, object]:
    """The row that a reader writes who agrees with the typesetter."""
    assert note.step is not None
    row: dict[str, object] = {
        "file": note.file,
        "line": note.line,
        "column": note.column,
        "moment": str(note.moment),
        "grace": str(note.grace),
        "duration": str(note.duration),
        "bar": note.bar,
        "beat": str(note.beat),
        "tied": note.tied,
        "pitch": {"step": "cdefgab"[note.step], "alter": str(note.alter), "octave": note.octave},
    }
    return {**row, **changed}


def test_agreement_counts_each_note_once(tmp_path: Path) -> None:
    events = scores(tmp_path, "m = { c'4 }\n{ \\m \\m <e' g'>2~ q }")
    notes = [note for score in events for note in score.notes]
    whole = compare({"notes": [as_read(note) for note in notes]}, events)
    assert (whole.notes, whole.agreed, whole.exact) == (6, 6, True)
    lacking = compare([as_read(note) for note in notes[1:]], events)
    assert (lacking.agreed, len(lacking.missing), len(lacking.extra)) == (5, 1, 0)
    assert lacking.missing[0].moment == 0
    untied = compare([as_read(note, tied=False) for note in notes], events)
    assert (untied.agreed, len(untied.tied), untied.exact) == (6, 2, False)


@pytest.mark.parametrize(
    "wrong",
    [
        {"line": 1},
        {"column": 4},
        {"moment": "1/4"},
        {"grace": "-1/8"},
        {"duration": "1/2"},
        {"bar": 2},
        {"beat": "2"},
        {"file": "other.ly"},
        {"pitch": {"step": "c", "alter": "1", "octave": 4}},
        {"pitch": {"step": "d", "alter": 0, "octave": 4}},
        {"pitch": {"step": "c", "alter": 0, "octave": 5}},
    ],
    ids=str,
)
def test_any_field_that_differs_is_a_difference(tmp_path: Path, wrong: dict[str, object]) -> None:
    events = scores(tmp_path, "{ c'4 }")
    agreement = compare([as_read(events[0].notes[0], **wrong)], events)
    assert (agreement.agreed, len(agreement.missing), len(agreement.extra)) == (0, 1, 1)
    assert "printed, not read" in agreement.explain()


def test_a_note_behind_its_prefix_command_is_the_one_meant(tmp_path: Path) -> None:
    events = scores(tmp_path, r"{ \tweak color #red c'4 <\tweak color #red e' g'>4 }")
    first, second, third = events[0].notes
    read = [as_read(first, column=21), as_read(second, column=46), as_read(third)]
    assert compare(read, events).exact
    before = [as_read(first, column=1), as_read(second, column=46), as_read(third)]
    assert len(compare(before, events).missing) == 1
