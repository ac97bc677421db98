r"""Ossias are not played, and the rest is as it would be without them.

Source of the forms: LilyPond Notation Reference 1.6.2, "Ossia staves" (``alignAboveContext``, a staff begun in
mid-piece in ``<< >>``, a staff stopped and started). That a second staff opened for the other hand has its clef: common
practice, no source. The music is invented.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from lyfinger.hands.assign import assign
from lyfinger.score.model import Score
from tests.referee.events import played

from ..score.sources import score_of

HARP = r"\score { \new PianoStaff \with { instrumentName = Harp } << %s >> }"
MAIN = "\\new Staff = main { c''1 %s d'' e'' }"
LEFT = "\\new Staff = low { \\clef bass c1 c c c }"


def unmarked(score: Score, *names: str) -> list[str]:
    """The labels of the staves whose notes have no hand."""
    hands = assign(score, {}, names)
    silent = {note.staff for note, hand in zip(score.notes, hands.hands, strict=True) if hand is None}
    return [score.staves[index].label for index in sorted(silent)]


SAID = {
    "a name": HARP % (MAIN % "b'" + " \\new Staff = harpOssia { s1 g''1 }" + LEFT),
    "a kind": HARP % (MAIN % "<< b'1 \\new OssiaStaff { g''1 } >>" + LEFT),
    "aligned above": HARP % (MAIN % "<< b'1 \\new Staff \\with { alignAboveContext = main } { g''1 } >>" + LEFT),
    "aligned, a string in Scheme": HARP
    % (MAIN % "<< b'1 \\new Staff \\with { alignAboveContext = #\"main\" } { g''1 } >>" + LEFT),
    "aligned below": HARP % (MAIN % "<< b'1 \\new Staff \\with { alignBelowContext = low } { g''1 } >>" + LEFT),
    "aligned by a setting": HARP
    % (MAIN % "<< b'1 \\new Staff { \\set Staff.alignAboveContext = \"main\" g''1 } >>" + LEFT),
    "aligned, and named for a hand": HARP
    % (MAIN % "<< b'1 \\new Staff = rightTwo \\with { alignAboveContext = main } { g''1 } >>" + LEFT),
}


@pytest.mark.parametrize("source", SAID.values(), ids=list(SAID))
def test_an_ossia_that_says_so_is_left_alone_without_a_word(source: str) -> None:
    score = score_of(source)
    (silent,) = unmarked(score)
    found = [message for message in assign(score, {}).messages if message.rule == "ossia"]
    assert [str(message.severity) for message in found] == ["note"]
    assert found[0].text.startswith(f"{silent} is not marked: it is an ossia")


def test_a_staff_that_begins_in_mid_piece_is_taken_for_one_with_a_warning() -> None:
    score = score_of(HARP % (MAIN % "<< b'1 \\new Staff = extra { g''1 } >>" + LEFT))
    assert unmarked(score) == ["extra"]
    (message,) = (message for message in assign(score, {}).messages if message.rule == "ossia")
    assert str(message).endswith(
        "warning: extra is not marked: it begins in mid-piece beside another staff, as an ossia does "
        "(--staves or [hands] has it marked) [ossia]"
    )


PLAYED = {
    "from the beginning": HARP % ("\\new Staff = extra { c''1 }" + MAIN % "b'" + LEFT),
    "spacers first": HARP % ("\\new Staff = extra { s1 c''1 }" + MAIN % "b'" + LEFT),
    "a skip first": HARP % ("\\new Staff = extra { \\skip 1 c''1 }" + MAIN % "b'" + LEFT),
    "the other hand's clef": HARP % (MAIN % "<< b'1 \\new Staff = extra { \\clef bass g1 } >>"),
    "named for a hand": HARP % (MAIN % "<< b'1 \\new Staff = LH { g'1 } >>"),
    "a variable named for a hand": "leftHand = { g'1 }" + HARP % (MAIN % "<< b'1 \\new Staff \\leftHand >>"),
    "when the other has ended": r"\score { { \new Staff { c''1 } \new Staff = extra { d''1 } } }",
}


@pytest.mark.parametrize("source", PLAYED.values(), ids=list(PLAYED))
def test_what_is_no_ossia_is_played(source: str) -> None:
    score = score_of(source)
    assert unmarked(score) == []
    assert not [message for message in assign(score, {}).messages if message.rule == "ossia"]


@pytest.mark.parametrize(
    ("names", "silent"),
    [
        (["main", "low"], ["harpOssia"]),
        (["Harp"], ["harpOssia"]),
        (["harp*"], ["harpOssia"]),
        (["harpossia"], []),
        (["*ossia*"], []),
    ],
)
def test_an_ossia_is_marked_where_its_own_name_is_asked_for(names: list[str], silent: list[str]) -> None:
    assert unmarked(score_of(SAID["a name"]), *names) == silent


def test_an_ossia_that_is_marked_is_played_by_itself() -> None:
    """It is played instead of the music beside it: not a third row of notes for the same hands."""
    score = score_of(SAID["a name"])
    without, asked = assign(score, {}), assign(score, {}, ["harpOssia", "main", "low"])
    ossia = {index for index, note in enumerate(score.notes) if score.staves[note.staff].label == "harpOssia"}
    others = [index for index in range(len(score.notes)) if index not in ossia]
    assert {asked.players[index] for index in ossia}.isdisjoint(asked.players[index] for index in others)
    assert [asked.hands[index] for index in others] == [without.hands[index] for index in others]


def test_a_setting_has_an_ossia_marked() -> None:
    score = score_of(SAID["aligned above"])
    (silent,) = unmarked(score)
    assert None not in assign(score, {silent: "right"}).hands


@pytest.mark.parametrize("name", ["aligned above", "aligned below", "a kind"])
def test_where_a_staff_begins_is_what_the_typesetter_has(name: str, tmp_path: Path) -> None:
    """Source: the typesetter's events. Each staff here begins with a note."""
    source = '\\version "2.24.0"\n' + SAID[name]
    if name == "a kind":
        kinds = r"\context { \Staff \name OssiaStaff \alias Staff } \context { \PianoStaff \accepts OssiaStaff }"
        source = f'\\version "2.24.0"\n\\layout {{ {kinds} }}\n{SAID[name]}'
    path = tmp_path / "ossia.ly"
    path.write_text(source, encoding="utf-8")
    (events,) = played(path)
    first: dict[int, object] = {}
    for note in sorted(events.notes, key=lambda note: note.moment):
        first.setdefault(note.staff.number, note.moment)
    begins = [staff.begins for staff in score_of(SAID[name]).staves]
    assert sorted(begins, key=str) == sorted(first.values(), key=str)
