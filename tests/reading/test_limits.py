"""Music without an end, without time, without notes: read, refused, or told; and always soon."""

from __future__ import annotations

import time

import pytest

from lyfinger.source.messages import Refused
from tests.whole.command import lyfinger, marked

from .heard import heard, reading_of, told

SOON = 10
"""Seconds of work; a bound on going wrong, not a measure of speed."""

HUGE = [
    r"{ \repeat unfold 1000000000 { c'4 } }",
    r"{ \repeat unfold 100000 { \repeat unfold 100000 c'4 } }",
    r"{ \repeat volta 1000000000 { c'4 } \alternative { d' e' } }",
    r"{ \repeat tremolo 1000000000 { c'4 e' } }",
    r"{ \repeat percent 1000000000 { c'4 } }",
    "{ c'4*1000000000000/7 d' }",
    "{ R1*1000000000 c'4 }",
    r"{ \partial 1*1000000000 c'4 }",
    r"{ \time 1/1000000000 c'1 d' }",
    r"{ \time 0/4 c'4 d' }",
    r"{ \set Score.measureLength = #(ly:make-moment 0) c'4 d' }",
    r"{ \set Score.currentBarNumber = #99999999999999999999 c'4 }",
    r"{ \tempo 4 = 0 c'4 d' }",
    r"{ \tempo 4 = 100000000000000000000 c'4 d' }",
    "a = { c'4 } " + "a = { \\a \\a } " * 40 + "{ \\a }",
    "{ c" + "'" * 1000 + "4 d }",
    "{ c'4" + "." * 1000 + " d' }",
    "{ " + "c'4 ~ " * 2000 + "c' }",
    "{ <" + "c' " * 2000 + ">4 }",
    "{ R1*999999999 }",
    "{ " + "c'1 R1*999 " * 300 + "}",
    r"{ \time 1/100000 " + "c'1 " * 10 + "}",
    "{ " + " ".join(f"c'4*1/{number}" for number in range(3, 4000, 2)) + " }",
    "{ " + " ".join(f"r4*1/{number}" for number in range(3, 4000, 2)) + " }",
    "{ c'" + "9" * 100_000 + " d' }",
    r"{ \time " + "7" * 100_000 + "/4 c' }",
    r"{ \time 4/" + "8" * 100_000 + " c' }",
    r"{ \set Score.currentBarNumber = #" + "1" * 5000 + " c'4 }",
    r"{ \set Score.measureLength = #(ly:make-moment " + "1" * 5000 + "/4) c'4 }",
    "{ c'4*#1e999999999 d' }",
    r"{ c'4 \tweak font-size #1e999999999 d' }",
    "{ c'4-" + "3" * 100_000 + " d' }",
    "{ c'4-\"" + "3" * 100_000 + "\" d' }",
    r"{ \repeat volta 2 c'4 \alternative { \volta #'" + "1" * 5000 + " d' } }",
    r"\new Voice \with { \remove Note_heads_engraver \consists Completion_heads_engraver } { c'1*999999 d' }",
]


@pytest.mark.parametrize("source", HUGE, ids=lambda source: f"{source[:30]}… {len(source)}")
def test_huge_numbers_end_soon(source: str) -> None:
    started = time.process_time()
    result = lyfinger("mark", "-", "--stdin-filename", "test.ly", stdin=source.encode())
    assert time.process_time() - started < SOON
    assert result.status in (0, 2)
    assert "internal error" not in result.err
    if result.status == 2:
        assert result.err.startswith("test.ly:1:")
        assert result.err.count("\n") == 1


def test_a_huge_repeat_is_refused_with_its_place() -> None:
    with pytest.raises(Refused, match=r"^test\.ly:1:3: error: .*notes"):
        reading_of(r"{ \repeat unfold 1000000000 { c'4 } }")


@pytest.mark.parametrize(("depth", "read"), [(100, True), (150, True), (151, False), (5000, False)])
@pytest.mark.parametrize("bracket", ["{}", "<<>>"])
def test_nesting(bracket: str, depth: int, read: bool) -> None:
    half = len(bracket) // 2
    source = bracket[:half] * depth + " c'4 " + bracket[half:] * depth
    if read:
        assert heard(reading_of(source)) == "c4@0"
    else:
        with pytest.raises(Refused, match=r"^test\.ly:1:\d+: error: .*nested"):
            reading_of(source)


@pytest.mark.parametrize(
    "opening", ["#(", "##{ #(", r"\markup { \line { ", r"\new Staff { ", r"\tuplet 3/2 { ", "<< { "]
)
def test_nesting_of_anything_is_no_traceback(opening: str) -> None:
    for depth in (140, 3000):
        result = lyfinger("mark", "-", "--stdin-filename", "test.ly", stdin=(opening * depth + "c'4").encode())
        assert "internal error" not in result.err
        if "markup" not in opening:  # passed over, however it is nested
            assert (result.status, result.out, result.err.count("\n")) == (2, b"", 1)


NO_RATIO = [
    r"\tuplet 3/0 { c'4 }",
    r"\tuplet 0/3 { c'4 }",
    r"\times 3/0 { c'4 }",
    r"\times 0/3 { c'4 }",
    r"\scaleDurations 1/0 { c'4 }",
    r"\repeat unfold -1 { c'4 }",
    r"\repeat tremolo 0 { c'4 }",
    r"\repeat percent -3 { c'4 }",
    "c'4*1/0",
]


@pytest.mark.parametrize("music", NO_RATIO)
def test_what_has_no_time_is_told_and_what_stands_after_it_is_not_marked(music: str) -> None:
    reading = reading_of(f"{{ g'4 {music} d' }} {{ e'4 }}")
    assert heard(reading).split()[-1] == "e4@0"
    assert "d4" not in heard(reading)
    assert all(message.rule == "passage-not-followed" for message in reading.messages)
    assert told(reading) != []


NOTHING = [
    "",
    "\n",
    "\ufeff",
    "% only a comment\n",
    "%{ c'4 %}\n\n% d'4",
    '\\version "2.24.0"\n',
    "#(define x 1)",
    "{ }",
    "<< >>",
    "\\score { }",
    "{ r1 s1 R1 }",
    '\\header { title = "c\'4" }',
]


@pytest.mark.parametrize("source", NOTHING)
def test_without_a_note(source: str) -> None:
    assert heard(reading_of(source)) == ""
    assert marked(source) == source.encode()
    listed = lyfinger("notes", "-", "--format", "json", stdin=source.encode())
    assert (listed.status, listed.out) == (0, b'{"notes": []}\n')
    checked = lyfinger("check", "-", stdin=source.encode())
    assert (checked.status, checked.out) == (0, b"")


@pytest.mark.parametrize(
    "source", ["\\markup { a\n{ c'4 }", '\\header { title = "a"\n{ c\'4 }', "\\lyricmode { a", "{ c'4"]
)
def test_a_bracket_that_never_closes_is_refused_with_its_place(source: str) -> None:
    with pytest.raises(Refused, match=r"^test\.ly:1:\d+: error: this \{ is never closed$"):
        reading_of(source)
