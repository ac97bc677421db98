"""A passage that can't be followed: what is before and beside it is read, it is named, and nothing is guessed."""

from __future__ import annotations

import pytest

from lyfinger.source.messages import Refused
from tests.whole.command import lyfinger, marked
from tests.whole.insertions import inserted

from .heard import heard, reading_of, told

STAVES = r"""\new PianoStaff <<
  \new Staff = "RH" { c''4 d'' %s f''4 g'' }
  \new Staff = "LH" { c4 d e f }
>>
{ a'1 }
"""
ERRORS = {
    "octave marks without a note": "| '' e''",
    "a number that is no duration": "| 3 e''",
    "nought as a duration": "| 0 e''",
    "an equals sign without a note": "| = e''",
    "a multiplier without a duration": "| * e''",
    "a direction without an event": "^ ^ e''",
    "a chord in a chord": "<e'' <g''> >",
    "a tuplet of nothing": r"\tuplet 3/0 { e'' e'' }",
    "a command without its argument": r"\tuplet e''",
    "an unknown command": r"\nosuch e''",
    "Scheme that makes music": "$(music) e''",
}


@pytest.mark.parametrize("error", ERRORS.values(), ids=list(ERRORS))
def test_only_the_bracket_of_the_error_is_lost(error: str) -> None:
    """Before it in its bracket, in the other staff, and after the statement: all read; behind it nothing is."""
    source = STAVES % error
    reading = reading_of(source)
    staff = reading.scores[0]
    read = [(staff.staves[note.staff].name, note.moment) for note in staff.notes]
    assert [float(moment) for name, moment in read if name == "LH"] == [0, 0.25, 0.5, 0.75]
    assert [float(moment) for name, moment in read if name == "RH"] == [0, 0.25]
    assert heard(reading).endswith("a4@0")
    assert [message.rule for message in reading.messages] == ["passage-not-followed"] * len(reading.messages) != []


@pytest.mark.parametrize("error", ERRORS.values(), ids=list(ERRORS))
def test_the_warning_names_the_first_and_the_last_place(error: str) -> None:
    reading = reading_of(STAVES % error)
    line = (STAVES % error).split("\n")[1]
    first, last = reading.messages[0], reading.messages[-1]
    column = first.place.line_column[1]
    assert first.place.line_column[0] == 2
    assert line.index("d''") + 3 < column <= line.index("f''4") + 1
    assert last.end is not None
    assert last.end.line_column == (2, line.rindex("g''") + 3)
    assert f"to 2:{last.end.line_column[1]}" in str(last)
    assert str(first).startswith(f"test.ly:2:{column}: warning: ")


@pytest.mark.parametrize("error", ERRORS.values(), ids=list(ERRORS))
def test_strict_refuses_with_the_place(error: str) -> None:
    """In one line, on standard error, and nothing on standard output."""
    source = STAVES % error
    place = reading_of(source).messages[0].place
    with pytest.raises(Refused, match=r"^test\.ly:2:\d+: error: "):
        reading_of(source, strict=True)
    for command in ("mark", "notes", "check"):
        result = lyfinger(command, "-", "--stdin-filename", "test.ly", "--strict", stdin=source.encode())
        assert (result.status, result.out) == (2, b"")
        assert result.err.startswith(f"test.ly:2:{place.line_column[1]}: error: ")
        assert result.err.count("\n") == 1


@pytest.mark.parametrize("error", ERRORS.values(), ids=list(ERRORS))
def test_what_is_not_read_is_copied_through(error: str) -> None:
    source = STAVES % error
    digits = inserted(source.encode(), marked(source))
    gap = range(source.index("d''") + 4, source.index('\\new Staff = "LH"'))
    assert not [at for at, _ in digits if at in gap]
    assert len([at for at, _ in digits if at < gap.start]) == 2
    assert len([at for at, _ in digits if at >= gap.stop]) >= 4


@pytest.mark.parametrize("error", ["e''4* *", "e''4*1/0", "e''3", "e''0", "e!''"])
def test_an_error_in_a_note_loses_no_more_than_its_bracket(error: str) -> None:
    """The note itself may go either way; what stands before it, in the other staff and after the statement, may not."""
    reading = reading_of(STAVES % error)
    staff = reading.scores[0]
    read = [(staff.staves[note.staff].name, float(note.moment)) for note in staff.notes]
    assert [moment for name, moment in read if name == "LH"] == [0, 0.25, 0.5, 0.75]
    assert [moment for name, moment in read if name == "RH"] in ([0, 0.25], [0, 0.25, 0.5])
    assert heard(reading).endswith("a4@0")
    assert told(reading) != []


def test_the_typesetters_place_of_a_tab() -> None:
    reading = reading_of("{\tc'4 \\nosuch\te' }")
    assert str(reading.messages[0]).startswith("test.ly:1:13: warning: ")


def test_one_note_is_no_notes() -> None:
    assert "1 note" in told(reading_of(r"{ c'4 \nosuch d' }"))[0]
    assert "1 notes" not in told(reading_of(r"{ c'4 \nosuch d' }"))[0]


UNBALANCED = {
    "{ c'4": "test.ly:1:1: error: ",
    "{ c'4 } }": "test.ly:1:9: error: ",
    "{ <c' e' }": "test.ly:1:10: error: ",
    "<< { c'4 } { d'4 }": "test.ly:1:1: error: ",
    "{ c'4 >> }": "test.ly:1:7: error: ",
    "{ c'4 \n %{ no end }": "test.ly:2:2: error: ",
    "{ c'4^\"no end }": "test.ly:1:7: error: ",
    "{ c'4 #(no end }": "test.ly:1:8: error: ",
}


@pytest.mark.parametrize(("source", "begin"), UNBALANCED.items())
def test_text_without_any_reading_is_refused_with_its_place(source: str, begin: str) -> None:
    with pytest.raises(Refused) as caught:
        reading_of(source)
    assert str(caught.value).startswith(begin)
    result = lyfinger("mark", "-", "--stdin-filename", "test.ly", stdin=source.encode())
    assert (result.status, result.out, result.err.count("\n")) == (2, b"", 1)
