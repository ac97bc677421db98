"""How fast the music goes. Numbered marks are arithmetic; ranges of tempo words are common practice, no source."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import combinations

import pytest

from lyfinger.score.bars import pulses
from lyfinger.score.grid import Grid
from lyfinger.score.model import Bar
from lyfinger.score.tempo import RANGES, CountedPace, Pace, pace

from .sources import reading_of, score_of

#: Music, and how many quarters a minute it then goes at the end.
QUARTERS = {
    "a number": (r"\tempo 4 = 90 c'1", 90),
    "another unit": (r"\tempo 2 = 60 c'1", 120),
    "a dotted unit": (r"\tempo 4. = 60 c'1", 90),
    "a word and a number": (r"""\tempo "Largo" 4 = 100 c'1""", 100),
    "a range": (r"\tempo 4 = 100 - 120 c'1", 110),
    "a word": (r"""\tempo "Allegro" c'1""", 132),
    "among others": (r"""\tempo "Allegro ma non troppo" c'1""", 132),
    "the more particular word": (r"""\tempo "Allegro moderato" c'1""", 118),
    "in another language": (r"""\tempo "Sehr langsam" c'1""", 46),
    "dotted quarters in six eighths": (r"""\time 6/8 \tempo "Andante" c'2. c'2.""", 120),
    "a word that is no tempo": (r"""\tempo 4 = 90 c'1 \tempo "dolce" c'1""", 90),
    "a word inside another": (r"""\tempo "Allargando" c'1""", 72),
    "slower than before": (r"""\tempo 4 = 100 c'1 \tempo "Meno mosso" c'1""", 80),
    "the first tempo again": (r"""\tempo 4 = 100 c'1 \tempo 4 = 60 c'1 \tempo "Tempo I" c'1""", 100),
    "nothing": ("c'1", 72),
}


@pytest.mark.parametrize("name", QUARTERS)
def test_quarters_a_minute(name: str) -> None:
    music, quarters = QUARTERS[name]
    score = score_of(f"\\score {{ \\new Staff {{ {music} }} }}")
    end = score.notes[-1].moment
    assert pace(score).milliseconds(end, end + F(1, 4)) == F(60_000, quarters)


def test_a_default_can_be_set() -> None:
    score = score_of("\\score { \\new Staff { c'1 } }")
    assert pace(score, F(60)).milliseconds(F(0), F(1)) == 4000


def test_a_score_for_midi_gives_the_tempo() -> None:
    reading = reading_of(
        "\\score { \\new Staff { c'1 } \\layout { } } \\score { \\new Staff { \\tempo 4 = 60 c'1 } \\midi { } }"
    )
    printed, heard = reading.scores
    assert not heard.printed
    assert pace(printed, F(72), [heard]).milliseconds(F(0), F(1)) == 4000


def test_time_over_several_marks() -> None:
    score = score_of("\\score { \\new Staff { \\tempo 4 = 60 c'2 \\tempo 4 = 120 c'2 \\tempo 4 = 240 c'1 } }")
    found = pace(score)
    assert found.milliseconds(F(1, 4), F(5, 4)) == 1000 + 1000 + 250
    assert found.milliseconds(F(1), F(1)) == 0


def test_ranges_are_ranges() -> None:
    assert all(0 < low < high for _, low, high in RANGES)
    assert len({word for word, _, _ in RANGES}) == len(RANGES)


def test_pulses() -> None:
    eighth = F(1, 8)
    six = [Bar(n + 1, n * 6 * eighth, F(0), eighth) for n in range(3)]
    assert pulses(six) == [3 * eighth] * 3
    upbeat = [Bar(1, F(0), -eighth, eighth), Bar(1, eighth, F(0), eighth), Bar(2, 7 * eighth, F(0), eighth)]
    assert pulses(upbeat) == [3 * eighth] * 3
    assert pulses([Bar(1, F(0), F(0), F(1, 4))]) == [F(1, 4)]
    assert pulses([]) == []


#: Tempos by where they begin (whole notes) and what a whole note takes then (ms), at odd places and speeds.
PACES = (
    Pace((F(0),), (F(3333, 7),)),
    Pace((F(0), F(1, 3), F(7, 5), F(2)), (F(1000), F(60_000, 97), F(2500, 3), F(1))),
)


@pytest.mark.parametrize("number", range(len(PACES)))
def test_counted_on_a_grid_it_is_the_same_pace(number: int) -> None:
    one = PACES[number]
    moments = sorted({F(above, below) for below in (1, 2, 3, 5, 8, 12) for above in range(3 * below)})
    counted = CountedPace(one, Grid([*moments, *one.starts]))
    at = counted.grid.at
    for start, end in combinations(moments, 2):
        exact = one.milliseconds(start, end)
        assert F(counted.elapsed(at(end)) - counted.elapsed(at(start)), counted.parts) == exact
        assert counted.milliseconds(at(start), at(end)) == int(exact)
