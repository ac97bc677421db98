"""Above or below, for every kind of source note."""

from __future__ import annotations

from itertools import permutations

import pytest

from lyfinger.marking.side import DOWN, SIGN, UP, digit_side

TABLE = [
    # soundings as (side of the voice, hand); the side of the digit
    ([(0, "right")], UP),
    ([(0, "left")], DOWN),
    ([(1, "right")], UP),
    ([(-1, "right")], DOWN),  # the lower of two voices in the right hand
    ([(1, "left")], UP),  # the upper of two voices in the left hand
    ([(-1, "left")], DOWN),
    ([(0, "right"), (0, "right")], UP),
    ([(0, "left"), (0, "left")], DOWN),
    ([(0, "right"), (0, "left")], UP),  # heard in both hands
    ([(-1, "right"), (0, "left")], DOWN),  # in both hands, and below in both
    ([(1, "left"), (0, "right")], UP),
    ([(1, "right"), (-1, "right")], UP),  # its soundings disagree
    ([(0, "left"), (1, "left")], UP),
    ([(-1, "left"), (1, "left"), (0, "left")], UP),
]


@pytest.mark.parametrize(("soundings", "side"), TABLE)
def test_side(soundings: list[tuple[int, str]], side: int) -> None:
    assert {digit_side(order) for order in permutations(soundings)} == {side}


def test_sign() -> None:
    assert (SIGN[UP], SIGN[DOWN]) == ("^", "_")
