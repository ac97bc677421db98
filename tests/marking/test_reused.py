r"""Music that is written once and sounds in several places has one digit; where none suits, both places are told.

The music is invented. That the thumb takes the highest string in either hand, so that a figure can have the same
digits in both: [P] D. Hall, The Complete Chromatic Harp.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from lyfinger.config import Config
from lyfinger.marking.plan import Plan, make_plan
from lyfinger.reading.reader import read
from lyfinger.source.library import Library

HEAD = '\\version "2.24.0"\n'
PIANO = "\\score { \\new PianoStaff << \\new Staff = RH { %s } \\new Staff = LH { \\clef bass %s } >> }\n"


def plan_in(folder: Path, **files: str) -> Plan:
    """The plan of some files; those whose names begin with ``i`` are only included."""
    for name, text in files.items():
        (folder / f"{name}.ly").write_text(HEAD + text, encoding="utf-8")
    library = Library(directory=folder)
    roots = [library.root(f"{name}.ly") for name in files if not name.startswith("i")]
    return make_plan([read(library.reopen(root), library) for root in roots], Config())


def told(plan: Plan) -> list[str]:
    return [str(message) for message in plan.messages]


def fingers(plan: Plan) -> str:
    """The new digits in the order of the source."""
    return " ".join(str(plan.digits[place].finger) for place in sorted(plan.digits, key=lambda place: place.offset))


SUITS = {
    "in both hands": PIANO % ("\\tune r1", "r1 \\tune"),
    "in both hands at once": PIANO % ("\\tune", "\\tune"),
    "under two transpositions": PIANO % ("\\tune \\transpose c a' \\tune", "r1 r1"),
    "in the other hand, an octave lower": PIANO % ("\\tune r1", "r1 \\transpose c c, \\tune"),
    "in two scores": PIANO % ("\\tune", "r1") + PIANO % ("r1", "\\tune"),
}


@pytest.mark.parametrize("score", SUITS.values(), ids=list(SUITS))
def test_one_digit_for_all_places(score: str, tmp_path: Path) -> None:
    plan = plan_in(tmp_path, a=f"tune = {{ c'4 e' g' c'' }}\n{score}")
    assert told(plan) == []
    assert fingers(plan) == "4 3 2 1"
    assert {item.finger for root in plan.roots for row in root.fingered for item in row} == {1, 2, 3, 4}


#: ``one`` is put above 2, where only the thumb is left for it, and below 3, where only 4 is.
CLASH = {
    "two places of one hand": (
        PIANO % ("<< \\one c'4-2 >> r << \\one c''4-3 >> r", "r1"),
        "one digit can't serve both A4 (right hand, bar 1, beat 3) and A4 (right hand, bar 1, beat 1); "
        "it is made for the latter (bar 1)",
    ),
    "both hands": (
        PIANO % ("<< \\one c'4-2 >> r2. r1", "r1 << \\one c''4-3 >> r2."),
        "one digit can't serve both A4 (left hand, bar 2, beat 1) and A4 (right hand, bar 1, beat 1); "
        "it is made for the latter (bar 2)",
    ),
    "two transpositions": (
        PIANO % ("<< \\one c'4-2 >> r2. << \\transpose c c' \\one c'''4-3 >> r2.", "r1 r1"),
        "one digit can't serve both A5 (right hand, bar 2, beat 1) and A4 (right hand, bar 1, beat 1); "
        "it is made for the latter (bar 2)",
    ),
    "two scores of a file": (
        PIANO % ("<< \\one c'4-2 >> r2.", "r1") + PIANO % ("r4 << \\one c''4-3 >> r2", "r1"),
        "one digit can't serve both A4 (in score 2 of a.ly, right hand, bar 1, beat 2) and "
        "A4 (in score 1 of a.ly, right hand, bar 1, beat 1); it is made for the latter (bar 1)",
    ),
}


@pytest.mark.parametrize(("score", "text"), CLASH.values(), ids=list(CLASH))
def test_where_no_digit_suits_both_places_are_told(score: str, text: str, tmp_path: Path) -> None:
    plan = plan_in(tmp_path, a=f"one = {{ a'4 }}\n{score}")
    assert told(plan) == [f"a.ly:2:9: warning: {text} [reused-note]"]
    assert fingers(plan) == "1"


def test_a_part_and_a_score_that_disagree_are_both_named(tmp_path: Path) -> None:
    part = '\\include "ione.ly"\n' + PIANO % ("<< \\one c'4-2 >> r2.", "r1")
    full = '\\include "ione.ly"\n' + PIANO % ("r2 << \\one c''4-3 >> r4", "r1")
    plan = plan_in(tmp_path, ione="one = { a'4 }\n", part=part, full=full)
    assert told(plan) == [
        "ione.ly:2:9: warning: one digit can't serve both A4 (in full.ly, right hand, bar 1, beat 3) and "
        "A4 (in part.ly, right hand, bar 1, beat 1); it is made for the latter (bar 1) [reused-note]"
    ]
    assert fingers(plan) == "1"


def test_a_part_and_a_score_that_agree_are_not_told_apart(tmp_path: Path) -> None:
    """The clash inside the part is told once, and not as one between the part and its score."""
    music = '\\include "imusic.ly"\n' + PIANO % ("\\all", "r1")
    shared = "one = { a'4 }\nall = { << \\one c'4-2 >> r << \\one c''4-3 >> r }\n"
    plan = plan_in(tmp_path, imusic=shared, part=music, full=music)
    assert set(told(plan)) == {
        "imusic.ly:2:9: warning: one digit can't serve both A4 (right hand, bar 1, beat 3) and "
        "A4 (right hand, bar 1, beat 1); it is made for the latter (bar 1) [reused-note]"
    }
