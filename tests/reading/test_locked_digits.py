r"""Digits that stand in the source are locked, in every spelling; what only looks like one is not.

Source: the typesetter's events for each of these, LilyPond 2.25.12 and 2.24.3.
"""

from __future__ import annotations

import pytest

from tests.whole.command import marked, notes_in

from .heard import reading_of, told

SPELLINGS = {
    # source: the locked texts of each note, in the order of the source
    "after the duration": ("{ c'4-1 }", ["1"]),
    "above": ("{ c'4^1 }", ["1"]),
    "below": ("{ c'4_1 }", ["1"]),
    "after a blank": ("{ c'4 -1 }", ["1"]),
    "a blank inside": ("{ c'4- 1 }", ["1"]),
    "on the next line": ("{ c'4\n-1 d' }", ["1", ""]),
    "behind a comment": ("{ c'4 %{ x %} -1 }", ["1"]),
    "without a duration": ("{ c'-1 }", ["1"]),
    "behind other marks": ("{ c'4\\accent(-1 d') }", ["1", ""]),
    "before other marks": ("{ c'4-1-.~ c' }", ["1", ""]),
    "two digits are one finger": ("{ c'4-12 }", ["12"]),
    "nought": ("{ c'4-0 }", ["0"]),
    "five": ("{ c'4-5 }", ["5"]),
    "a substitution": ("{ c'4-1-2 }", ["1 2"]),
    "in a chord": ("{ <c'-1 e'^2 g'_3>4 }", ["1", "2", "3"]),
    "two in a chord": ("{ <c'-1-2 e'>4 }", ["1 2", ""]),
    "finger with a string": ('{ c\'4\\finger "1" }', ["1"]),
    "finger with a sign": ('{ c\'4-\\finger "1-3" }', ["1-3"]),
    "finger with a number": ("{ c'4\\finger 2 }", ["2"]),
    "finger with Scheme": ("{ c'4\\finger #3 }", ["3"]),
    "a tweak": ("{ c'4-\\tweak color #red -1 }", ["1"]),
    "a tweak without a sign": ("{ c'4\\tweak color #red -2 }", ["2"]),
    "a tweak with a direction": ("{ c'4^\\tweak color #red -1 }", ["1"]),
    "a tweak in a chord": ("{ <c' e'-\\tweak color #red -3>4 }", ["", "3"]),
    "a tag": ("{ c'4-\\tag #'x -1 }", ["1"]),
    "a tag without a sign": ("{ c'4\\tag #'x -1 }", ["1"]),
    "a tag with a direction": ("{ c'4^\\tag #'x -1 }", ["1"]),
    "tags in a chord": ("{ <c'-\\tag #'(x y) -1 e'-2>4 }", ["1", "2"]),
    "a tag and a tweak": ("{ <c'-\\tag #'x -\\tweak color #red -1>4 }", ["1"]),
    "parenthesized": ("{ c'4-\\parenthesize -3 }", ["3"]),
    "moved": ("{ c'4-\\offset padding 1 -1 }", ["1"]),
    "a variable": ('one = \\finger "1" { c\'4\\one }', ["1"]),
    "a variable in a chord": ("one = -\\finger \"1\" { <c'\\one e'>4 }", ["1", ""]),
    "a variable with a tag": ("one = -\\tag #'lyf \\finger \"2\" { c'4\\one }", ["2"]),
    "before a tremolo": ("{ c'4-1:32 }", ["1"]),
    "behind a tremolo": ("{ c'4:32-1 }", ["1"]),
    "before a tie in a chord": ("{ <c'~-1 e'>4 c' }", ["1", "", ""]),
    "on a grace note": ("{ \\grace c'8-1 d'4-2 }", ["1", "2"]),
    "on a repeated duration": ("{ c'4 8-2 }", ["", "2"]),
    "one that a tag keeps out of this score": ("\\removeWithTag #'x { c'4-\\tag #'x -1 }", ["1"]),
    "a text that is a digit": ('{ c\'4-"1" }', ["1"]),
    "a markup that is a digit": ("{ c'4^\\markup \\finger 2 }", ["2"]),
    # and what is none
    "another text": ('{ c\'4-"1st" d\'^"a 2" }', ["", ""]),
    "a stroke finger": ("{ c'4\\rightHandFinger #1 }", [""]),
    "a string number": ("{ c'4\\1 }", [""]),
    "an ottava": ("{ \\ottava -1 c'4 }", [""]),
    "an empty chord's": ("{ <>-1 c'4 }", [""]),
    "a rest's": ("{ r4-1 c' }", [""]),
    "a spacer's": ("{ s4-1 c' }", [""]),
    "a bar rest's": ("{ R1-1 c'4 }", [""]),
    "in a comment": ("{ c'4 % -1\n }", [""]),
}


@pytest.mark.parametrize(("source", "locked"), SPELLINGS.values(), ids=list(SPELLINGS))
def test_spellings(source: str, locked: list[str]) -> None:
    reading = reading_of(source)
    notes = sorted(reading.scores[0].notes, key=lambda note: note.order)
    assert [" ".join(digit.text for digit in note.source.locked) for note in notes] == locked
    assert told(reading) == []


@pytest.mark.parametrize(("source", "locked"), SPELLINGS.values(), ids=list(SPELLINGS))
def test_locked_notes_get_no_other_digit(source: str, locked: list[str]) -> None:
    """And the digits of the others go where they change no locked one."""
    text = '\\version "2.24.0" ' + source.replace("{", '\\new Staff = "RH" {', 1)
    after = marked(text).decode()
    found = sorted(reading_of(after).scores[0].notes, key=lambda note: note.order)
    now = [" ".join(digit.text for digit in note.source.locked) for note in found]
    assert [was or "new" for was in locked] == [one if was else "new" for was, one in zip(locked, now, strict=True)]


@pytest.mark.parametrize(
    ("source", "fingers"),
    [
        ("{ c'4-3 d' }", [3]),
        ("{ c'4-1-2 d' }", [1]),
        ("{ c'4\\finger \"2\" d' }", [2]),
        ("{ <c'-4 e' g'-1>4 }", [4, 1]),
    ],
)
def test_locked_fingers_are_told_as_locked(source: str, fingers: list[int]) -> None:
    notes = notes_in(f'\\new Staff = "RH" {source}')
    assert [note["finger"] for note in notes if note["origin"] == "locked"] == fingers
    assert all(note["finger"] for note in notes)


@pytest.mark.parametrize("source", ["{ <c' e' g'>4-1-2-3 d' }", "{ <c' e' g'>4_3_2_1 d' }"])
def test_a_chord_that_is_fingered_as_a_whole_is_left_alone(source: str) -> None:
    """The engraver has fingered it; a second set of digits would stand beside the first."""
    after = marked(f'\\new Staff = "RH" {source}').decode()
    assert "<c' e' g'>4" in after
