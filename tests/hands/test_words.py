"""Names and what they say of the hand. Source of the words: common practice, no source; the names are invented."""

from __future__ import annotations

import pytest

from lyfinger.hands.instruments import Instrument, instrument, is_alternative
from lyfinger.hands.model import Hand
from lyfinger.hands.words import Strength, saying

RIGHT = """
RH rh R.H. r.h. right Right RIGHT rightHand righthand harpRight harp_right harp-right RHone harpRHOne
harpRHone rightTwo MD m.d. MainDroite HarpeMainDroite droite rechts rechteHand ManoDestra destra derecha
upperRight lowerRight harpR harp-r rhmusic right2 1right RHdown
"""
LEFT = """
LH lh L.H. left leftHand lefthand harpLeft LHtwo harpLHTwo MG m.g. MS m.s. mainGauche gauche links linkeHand
sinistra izquierda upperLeft leftUp harpL HARPLEFT
"""
UPPER = """
up upper upperII staffUp staff-up_2 top treble harpUpper uppervoice oben superiore sopra
"""
LOWER = """
down lower lowerStaff bottom bass bassNotes staffDown lowermusic unten inferiore basso
"""
NOTHING = """
harp harpI harpOne staff1 melody music one upright uprightPiano leftovers Bright brightness copyright downbeat
upbeat upBeat downBow RHAPSODY rhone Rhône supper flower bassoon topic rightToLeft RHLH upDown harp12 _ 3
lightning scale theme
"""


@pytest.mark.parametrize("name", RIGHT.split())
def test_names_of_the_right_hand(name: str) -> None:
    found = saying(name)
    assert found is not None
    assert (found.hand, found.strength) == (Hand.RIGHT, Strength.HAND)


@pytest.mark.parametrize("name", LEFT.split())
def test_names_of_the_left_hand(name: str) -> None:
    found = saying(name)
    assert found is not None
    assert (found.hand, found.strength) == (Hand.LEFT, Strength.HAND)


@pytest.mark.parametrize(
    ("name", "hand"), [*((n, Hand.RIGHT) for n in UPPER.split()), *((n, Hand.LEFT) for n in LOWER.split())]
)
def test_names_of_a_place(name: str, hand: Hand) -> None:
    found = saying(name)
    assert found is not None
    assert (found.hand, found.strength) == (hand, Strength.PLACE)


@pytest.mark.parametrize("name", NOTHING.split())
def test_names_that_say_nothing(name: str) -> None:
    assert saying(name) is None


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("Harp", Instrument.HARP),
        ("Arpa I", Instrument.HARP),
        ("harpright", Instrument.HARP),
        ("Harfe", Instrument.HARP),
        ("Flute", Instrument.OTHER),
        ("Violino II", Instrument.OTHER),
        ("harpsichord", Instrument.OTHER),
        ("Klavier", Instrument.OTHER),
        ("upper", Instrument.UNSAID),
        ("melody", Instrument.UNSAID),
        ("bass", Instrument.UNSAID),
    ],
)
def test_instruments(name: str, wanted: Instrument) -> None:
    assert instrument([name]) is wanted


def test_a_harp_beside_another_name_is_a_harp() -> None:
    assert instrument(["piano", "Harp"]) is Instrument.HARP


def test_ossias_and_cues_are_not_played() -> None:
    assert is_alternative(["harpOssia"])
    assert is_alternative(["cue"])
    assert not is_alternative(["cuesta", "upper"])
