"""The time that words, chord names, figures and percussion take, and the duration that they leave behind.

``tests/fixtures/reading/durations-carried-*.ly`` and ``percussion-in-a-row-with-music.ly`` hold it to the typesetter.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from lyfinger.reading.lexer import flat_tokens
from lyfinger.reading.unheard import Unheard, unheard


def passed_over(kind: str, inside: str) -> Unheard:
    return unheard(kind, list(flat_tokens(inside)))


@pytest.mark.parametrize(
    ("kind", "inside", "length", "carried", "scale"),
    [
        ("percussion", "bd4 sn hh2", Fraction(1), Fraction(1, 2), 1),
        ("percussion", "bd4*2/3 sn", Fraction(1, 3), Fraction(1, 6), Fraction(2, 3)),
        ("percussion", "<bd hh>4 sn8:32 8", Fraction(1, 2), Fraction(1, 8), 1),
        ("percussion", "bd\\breve", None, Fraction(2), 1),
        ("percussion", "bd8 \\repeat unfold 4 { bd }", None, Fraction(1, 8), 1),
        ("percussion", "bd sn4", None, Fraction(1, 4), 1),
        ("percussion", "bd sn", None, None, 1),
        ("chord names", "c1:m7 d2.:7 e8:min7.5-", Fraction(15, 8), Fraction(1, 8), 1),
        ("chord names", "c4:sus2.4 g/b", Fraction(1, 2), Fraction(1, 4), 1),
        ("figures", "<6>16 <4 6>2.", Fraction(13, 16), Fraction(3, 4), 1),
        ("lyrics", 'Ah!4 "la"8 end.2', None, Fraction(1, 2), 1),
        ("lyrics", "end.2 la", Fraction(1), Fraction(1, 2), 1),
        ("lyrics", "", Fraction(0), None, 1),
    ],
)
def test_time_and_duration(
    kind: str, inside: str, length: Fraction | None, carried: Fraction | None, scale: Fraction | int
) -> None:
    found = passed_over(kind, inside)
    assert (found.length, found.carried, found.scale) == (length, carried, scale)
