"""The report counts what a harpist would: small cases by hand, and the samples as a whole."""

from __future__ import annotations

import pytest

from lyfinger.fingering.plan import survey
from lyfinger.fingering.settings import Settings
from lyfinger.harp.hand import MEDIUM
from lyfinger.harp.profile import PEDAL
from lyfinger.harp.reach import Reach
from tests.fingering.music import passage
from tests.tools.fingering_report import KINDS, buzzes, counts, naive, naive_placings, shapes, singles, trained
from tests.whole.command import ENSEMBLE, TEACHING

REACH = Reach(MEDIUM, PEDAL)


@pytest.mark.parametrize(
    ("leap", "old", "new", "quick", "kind"),
    [
        (2, 2, 2, True, 0), (2, 2, 2, False, 1), (-1, 1, 1, True, None), (1, 1, 1, True, 0), (1, 4, 4, True, None),
        (3, 1, 4, True, 2), (2, 1, 4, True, None), (3, 1, 4, False, None), (0, 1, 1, True, 5), (0, 1, 1, False, None),
        (-3, 4, 1, True, 2), (3, 4, 1, True, None),
    ],
)  # fmt: skip
def test_two_single_notes(leap: int, old: int, new: int, quick: bool, kind: int | None) -> None:
    """Hops are not slides; a crossing by step or third is natural [M]."""
    assert list(singles(leap, old, new, quick)) == ([] if kind is None else [KINDS[kind]])


def test_the_tables_alone() -> None:
    """[T]; [P] Learning the Harp; Simple Harp: what a marking without a plan starts from."""
    assert [trained((28, 28 + width)) for width in (3, 4, 5, 6, 7)] == [(2, 1), (3, 1), (3, 1), (4, 1), (4, 1)]
    assert [trained(s) for s in ((28, 30, 32), (28, 32, 35), (28, 30, 35))] == [(3, 2, 1), (4, 2, 1), (4, 3, 1)]
    music = passage("C4 D4 E4 F4 C4-E4-G4")
    assert naive(music, survey(music, REACH, Settings()), REACH) == [(2,), (1,), (2,), (1,), (3, 2, 1)]
    assert naive_placings(music, survey(music, REACH, Settings())) == [0, 0, 1, 1, 2]


def test_shapes() -> None:
    """A 4th between 3 and 4 is a strain ([P] Harp Legacy Project), four strings apart from it."""
    music = passage("C4-F4-C5 C4-F4-A4-C5 C4-E4-G4")
    found = list(shapes(music, [(4, 3, 1), (4, 3, 2, 1), (3, 2, 1)], (0, 1, 2), REACH))
    assert found.count(KINDS[4]) == 1
    assert found.count(KINDS[3]) == 2


def test_low_strings_set_again() -> None:
    """[P] Sibelius Academy, Harp Notation: on a sounding string it may buzz, worse in the bass."""
    for octave, count in ((2, 1), (5, 0)):
        music = passage(" ".join(f"{letter}{octave}" for letter in "BGFGD"), 130)
        found = buzzes(music, survey(music, REACH, Settings()), (0, 0, 1, 1, 1))
        assert list(found) == [KINDS[6]] * count


def test_the_samples_are_easier_to_play_than_before() -> None:
    """Measured, and to be beaten: per 100 notes 3.3 hops in quick notes before, 0.03 after; 1.2 wide crossings, 0.3."""
    for shelf in (ENSEMBLE, TEACHING):
        notes, before, after = counts(shelf)
        assert notes > 500
        for kind in (KINDS[0], KINDS[1], KINDS[2], KINDS[5]):
            assert after[kind] <= before[kind], (shelf, kind)
        assert after[KINDS[0]] * 100 < notes
