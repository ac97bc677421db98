"""How small and large hands, wide and narrow harps shift the tables: [T] common practice, no source.

These rows fitted the factors of the two other hands, and the other octaves and the lever harp were looked at while
fitting: the table shows that the numbers meet the rows, it does not foretell rows unseen.
"""

from __future__ import annotations

import pytest

from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.harp.hand import LARGE, MEDIUM, SMALL, HandProfile
from lyfinger.harp.profile import HARPS, PEDAL, HarpProfile
from tests.fingering.music import connected, onset

NARROW = HARPS["lever-36"]
TIGHT = HarpProfile("tight", 14, 49, ((28, 12_500),))
"""12.5 mm everywhere: the narrowest that is published."""


def alone(strings: tuple[int, ...], hand: HandProfile, harp: HarpProfile) -> str:
    (fingers,) = place(connected((onset(strings),)), hand, Settings(harp=harp)).fingers
    return " ".join(str(finger) for finger in fingers)


SHIFTS = [
    (SMALL, PEDAL, (28, 31), "3 1", "small hand, wide spacing: a 4th may go 3–1"),
    (SMALL, PEDAL, (21, 24), "3 1", "small hand, wide spacing: a 4th may go 3–1, in the bass too"),
    (SMALL, PEDAL, (28, 33), "4 1", "small hand, wide spacing: a 6th may go 4–1"),
    (SMALL, PEDAL, (28, 31, 33), "4 2 1", "a sixth-wide chord whose lower gap is a 4th goes 4 2 1"),
    (SMALL, PEDAL, (21, 24, 26), "4 2 1", "a sixth-wide chord whose lower gap is a 4th goes 4 2 1"),
    (SMALL, PEDAL, (28, 30, 32), "3 2 1", "a close triad stays 3 2 1"),
    (SMALL, PEDAL, (28, 29), "2 1", "a 2nd stays 2–1"),
    (SMALL, PEDAL, (28, 35), "4 1", "an octave stays 4–1"),
    (SMALL, NARROW, (28, 31), "2 1", "on a narrow harp the small hand keeps 2–1"),
    (MEDIUM, PEDAL, (28, 31, 33), "3 2 1", "the medium hand keeps 3 2 1"),
    (LARGE, PEDAL, (28, 32), "2 1", "large hand: a 5th may go 2–1"),
    (LARGE, PEDAL, (14, 18), "3 1", "but not over the wide bass strings"),
    (LARGE, PEDAL, (28, 35), "4 1", "an octave stays 4–1 on a wide harp"),
    (LARGE, NARROW, (28, 35), "3 1", "large hand, narrow spacing: an octave 3–1"),
    (LARGE, TIGHT, (28, 33), "2 1", "large hand, narrow spacing: even a 6th may go 2–1"),
    (LARGE, PEDAL, (28, 30, 32), "3 2 1", "a close triad stays 3 2 1"),
]


@pytest.mark.parametrize(("hand", "harp", "strings", "fingers", "row"), SHIFTS)
def test_shifts(hand: HandProfile, harp: HarpProfile, strings: tuple[int, ...], fingers: str, row: str) -> None:
    assert alone(strings, hand, harp) == fingers, row


def test_a_bigger_hand_never_takes_a_wider_pair() -> None:
    """Over every interval and register: from small to large the low finger never gets further from the thumb."""
    for harp in (PEDAL, NARROW):
        for low in range(harp.lowest, harp.highest - 7):
            for interval in range(1, 8):
                small, large = (alone((low, low + interval), hand, harp) for hand in (SMALL, LARGE))
                assert "None" in small or small >= large


def test_reach() -> None:
    """[P] Harp Legacy Project; Johnson: octave and ninth usual, tenth common; it belongs to the player."""
    for hand, reached in ((SMALL, 8), (MEDIUM, 9), (LARGE, 11)):
        for low in (21, 24, 28, 31):
            assert "None" not in alone((low, low + reached), hand, PEDAL), (hand.name, low)
    assert "None" in alone((21, 32), MEDIUM, PEDAL)
