"""What layouts say of contexts, and which scores they are for."""

from __future__ import annotations

from fractions import Fraction

import pytest

from lyfinger.reading.layouts import settings_in
from lyfinger.reading.lexer import flat_tokens
from lyfinger.reading.measures import ratio
from lyfinger.reading.reader import read
from lyfinger.score.model import Reading
from lyfinger.source.library import Library
from lyfinger.source.text import SourceFile


def reading(text: str) -> Reading:
    return read(SourceFile("part.ly", text.encode()), Library())


@pytest.mark.parametrize(
    ("block", "settings"),
    [
        (r"\consists Timing_translator", {"Timing_translator": "on"}),
        (r'\remove "Timing_translator"', {"Timing_translator": "off"}),
        (r"\consists Clef_engraver", {}),
        (r"currentBarNumber = #12 timing = ##f", {"currentBarNumber": "#12", "timing": "##f"}),
        (r"\unset alternativeNumberingStyle", {"alternativeNumberingStyle": ""}),
        (r"\override BarNumber.timing = ##f", {}),
        (r"currentBarNumber", {}),
    ],
)
def test_settings(block: str, settings: dict[str, str]) -> None:
    assert settings_in(list(flat_tokens(block))) == settings


@pytest.mark.parametrize(
    ("text", "first_bars"),
    [
        (r"\layout { \context { \Score currentBarNumber = #7 } } { c'1 } { d'1 }", [7, 7]),
        (r"{ c'1 } \layout { \context { \Score currentBarNumber = #7 } } { d'1 }", [7, 7]),
        (r"\score { { c'1 } \layout { } } \layout { \context { \Score currentBarNumber = #7 } } { d'1 }", [1, 7]),
        (r"\score { { c'1 } \layout { \context { \Score currentBarNumber = #7 } } } { d'1 }", [7, 1]),
        (r"\score { { c'1 } } \score { { d'1 } \layout { \context { \Score currentBarNumber = #7 } } }", [1, 7]),
    ],
)
def test_a_layout_in_a_score_is_for_that_score(text: str, first_bars: list[int]) -> None:
    """Common practice of the typesetter; ``tests/referee`` compares such files with it."""
    assert [score.bars[0].number for score in reading(text).scores] == first_bars


def test_where_nothing_counts_there_are_no_bars() -> None:
    text = r"\layout { \context { \Score \remove Timing_translator } } { c'1 d'1 }"
    assert reading(text).scores[0].bars == []


def test_staves_that_share_the_count_have_no_bars_of_their_own() -> None:
    score = reading(r"<< \new Staff { c'1 } \new Staff { \time 3/4 d'2. } >>").scores[0]
    assert [staff.bars for staff in score.staves] == [[], []]
    assert score.bars_of(1) is score.bars


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("#(ly:make-moment 3/8)", Fraction(3, 8)),
        ("(ly:make-moment 3 8)", Fraction(3, 8)),
        ("#(ly:make-moment -1/8)", Fraction(-1, 8)),
        ("#ZERO-MOMENT", Fraction(0)),
        ("#12", Fraction(12)),
        ("##f", None),
        ("#(ly:make-moment 3/0)", None),
        ("#(ly:make-moment 1 2 3)", None),
    ],
)
def test_moments_and_numbers(written: str, value: Fraction | None) -> None:
    assert ratio(written) == value
