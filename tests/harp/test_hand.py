"""The hand: spreads in proportion, limits in order."""

from __future__ import annotations

import pytest

from lyfinger.harp.hand import HANDS, LARGE, MEDIUM, PAIRS, SMALL, HandProfile, Spread, hand_of_reach
from lyfinger.harp.profile import PEDAL
from lyfinger.harp.reach import FINGERINGS, Reach


@pytest.mark.parametrize("hand", HANDS.values(), ids=lambda hand: hand.name)
def test_limits_are_in_order(hand: HandProfile) -> None:
    for spread in hand.spreads:
        assert 0 <= spread.cramped < spread.easy < spread.greatest


def test_the_thumb_opens_widest() -> None:
    """[P] Chatzıoğlou et al.: 1–2 53°, 2–3 17°, 3–4 14°: in that order, the thumb far before the others."""
    easy = dict(zip(PAIRS, (spread.easy for spread in MEDIUM.spreads), strict=True))
    assert easy[1, 2] > easy[2, 3] > easy[3, 4]


def test_hands_scale() -> None:
    for small, medium, large in zip(SMALL.spreads, MEDIUM.spreads, LARGE.spreads, strict=True):
        assert small.easy < medium.easy < large.easy
    assert hand_of_reach("mine", 180_000).scale == 1200
    assert Spread(0, 10_000, 20_000).scaled(1500) == Spread(0, 15_000, 30_000)


def test_a_measured_pair_changes_only_itself() -> None:
    mine = MEDIUM.with_spread((2, 3), Spread(0, 35_000, 60_000))
    assert [a == b for a, b in zip(mine.spreads, MEDIUM.spreads, strict=True)] == [True, True, True, False, True, True]


def test_a_hand_needs_every_pair() -> None:
    with pytest.raises(ValueError, match="each pair"):
        HandProfile("half", 1000, MEDIUM.spreads[:3])


def test_fingerings_keep_the_order_of_the_strings() -> None:
    """[P] Hall: in both hands the thumb is on the highest string, 4 on the lowest."""
    assert [len(FINGERINGS[size]) for size in (1, 2, 3, 4)] == [4, 6, 4, 1]
    for fingerings in FINGERINGS.values():
        assert all(list(fingers) == sorted(set(fingers), reverse=True) for fingers in fingerings)


def test_habit_fades_where_hand_and_harp_do_not_fit() -> None:
    assert Reach(MEDIUM, PEDAL).habit == 1000
    assert Reach(SMALL, PEDAL).habit == Reach(LARGE, PEDAL).habit == 0
