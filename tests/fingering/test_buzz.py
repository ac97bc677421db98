"""A finger put back on a string that still sounds damps it and may buzz, worse low and soon: [P] Sibelius Academy, Harp
Notation (tremolo); T. Goss, Orchestration Online. How much is from memory."""

from __future__ import annotations

from random import Random

import pytest

from lyfinger.fingering.figure_rules import buzz
from lyfinger.fingering.ledger import cost_of
from lyfinger.fingering.model import Passage, Step
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.fingering.views import RECENT, Early
from lyfinger.harp.hand import MEDIUM
from tests.fingering.brute import Brute
from tests.fingering.music import explain_costs, onset, passage, placed
from tests.fingering.test_brute_force import agree

OFF = Settings(weights=(("buzz", 0),))
TURN = "B2 G2 F2 G2 C3 D3"
"""Set from the second G on, 3 and 2 would come down on the G that has just sounded."""


def test_it_grows_with_lowness_and_with_how_soon() -> None:
    lower = [buzz(Early(string, 1, 1000)) for string in range(42, 6, -1)]
    assert lower == sorted(lower)
    assert lower[0] == lower[7] < lower[8] < lower[-1], "even from C5 up"
    sooner = [buzz(Early(14, ago, 1000)) for ago in range(RECENT, 0, -1)]
    quicker = [buzz(Early(14, 1, haste)) for haste in range(0, 1001, 50)]
    for counts in (sooner, quicker):
        assert counts == sorted(counts)
        assert counts[0] < counts[-1]
    assert quicker[0] == 0, "with time the finger is set late"


def test_a_string_that_has_just_sounded_is_not_set_early() -> None:
    """The failing case and what is chosen instead; high up, or at leisure, it hardly matters."""
    assert placed(TURN, 130, settings=OFF) == "1 2 | 4 3 2 1"
    assert placed(TURN, 130) == "1 2 3 | 3 2 1"
    high = "B5 G5 F5 G5 C6 D6"
    assert placed(high, 130) == placed(high, 130, settings=OFF) == "1 2 | 4 3 2 1"
    assert placed(TURN, 400) == placed(TURN, 400, settings=OFF)


def test_the_ledger_names_the_string() -> None:
    """G2 sounds as the second note and is set with the third, to be played as the fourth."""
    fingers = ((1,), (2,), (4,), (3,), (2,), (1,))
    set_early = cost_of(passage(TURN, 130), fingers, (0, 0, 1, 1, 1, 1), MEDIUM)
    assert [item.onsets for item in set_early.items if item.rule == "buzz"] == [(1, 3)]
    music = passage(TURN, 130)
    assert "buzz" not in explain_costs(music, place(music, MEDIUM), MEDIUM).units()


@pytest.mark.parametrize("notes", ["C2 G2 E2 G2 C2 G2 E2 G2", "C2 E2 G2 C3 G2 E2 C2", "C2 C2 C2", "C2 D2 E2 F2 G2 A2"])
def test_a_shape_that_goes_on_and_a_note_struck_again_are_not_counted(notes: str) -> None:
    """[T]: a figure stays in its shape; the finger comes back when the string is due."""
    music = passage(notes, 130)
    assert "buzz" not in explain_costs(music, place(music, MEDIUM), MEDIUM).units()


def test_a_free_lift_ends_it() -> None:
    first, *rest = passage(TURN, 130).steps
    music = Passage(passage(TURN).onsets, (first, Step(1, 2, 130, pause=True), *rest[1:]))
    assert "buzz" not in explain_costs(music, place(music, MEDIUM), MEDIUM).units()


@pytest.mark.parametrize("batch", range(4))
def test_search_equals_brute_force_in_the_bass(batch: int) -> None:
    """Few strings, low and fast, at the rule's weight and far above it: every figure comes back on what sounds."""
    rng = Random(f"buzz {batch}")
    counted = 0
    for _ in range(20):
        count, low = rng.choice((5, 6)), rng.randint(9, 16)
        notes = tuple(onset((low + rng.randint(0, 6),), key) for key in range(count))
        music = Passage(notes, tuple(Step(i, i + 1, rng.choice((100, 130, 200))) for i in range(count - 1)))
        for weight in (1, 20):
            settings = Settings(weights=(("buzz", weight),))
            agree(music, MEDIUM, settings)
        counted += explain_costs(music, place(music, MEDIUM, OFF), MEDIUM, OFF).units().get("buzz", 0)
    assert counted


def test_notes_used_twice_are_decided_as_by_brute_force() -> None:
    rng = Random("buzz, used twice")
    heavy = Settings(weights=(("buzz", 8),))
    for _ in range(10):
        notes = tuple(onset((10 + rng.randint(0, 5),), key) for key in range(4))
        steps = [Step(i, i + 1, 130, pause=i == 3) for i in range(7)]
        music = Passage((*notes, *notes), (*steps, Step(7, 0, 130)))
        answer = place(music, MEDIUM, heavy)
        assert (answer.cost, answer.bound) == (Brute(music, MEDIUM, heavy).best_together()[0],) * 2
