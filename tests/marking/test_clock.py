"""The beat on which a note falls is that of its own staff."""

from __future__ import annotations

from fractions import Fraction

from lyfinger.marking.clock import Clock
from lyfinger.score.tempo import pace

from ..score.sources import reading_of

QUARTERS = [Fraction(quarter, 4) for quarter in range(6)]


def test_each_staff_that_counts_has_its_own_beats() -> None:
    staves = r"<< \new Staff { \time 3/4 c'4 c' c' c' c' c' } \new Staff { \time 2/4 c'4 c' c' c' c' c' } >>"
    score = reading_of(r"\layout { \enablePolymeter } " + staves).scores[0]
    clock = Clock(score, pace(score))
    assert [clock.stress(clock.at(moment), 0) for moment in QUARTERS] == [2, 1, 1, 2, 1, 1]
    assert [clock.stress(clock.at(moment), 1) for moment in QUARTERS] == [2, 1, 2, 1, 2, 1]


def test_where_nothing_counts_there_is_no_stress() -> None:
    score = reading_of(r"\layout { \context { \Score \remove Timing_translator } } { c'4 c' }").scores[0]
    clock = Clock(score, pace(score))
    assert [clock.stress(clock.at(moment), 0) for moment in QUARTERS[:2]] == [0, 0]
