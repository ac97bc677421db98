"""Digits of an earlier marking: preferred at a weight, and the search stays exact. Invented music."""

from __future__ import annotations

from random import Random

import pytest

from lyfinger.fingering.model import Onset, Passage, Step
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.harp.hand import LARGE, MEDIUM, SMALL
from tests.fingering.brute import Brute
from tests.fingering.music import connected, explain_costs, onsets, read
from tests.fingering.random_music import random_passage, sometimes_kept
from tests.fingering.test_brute_force import agree

OCTAVE = "C4 D4 E4 F4 G4 A4 B4 C5"


def keeping(text: str, *kept: int | None) -> tuple[Onset, ...]:
    """A line of single notes with the digits that are to be kept."""
    return tuple(note._replace(kept=(finger,)) for note, finger in zip(onsets(text), kept, strict=True))


@pytest.mark.parametrize("batch", range(4))
def test_search_equals_brute_force(batch: int) -> None:
    rng = Random(f"kept {batch}")
    settings = (Settings(), Settings(weights=(("kept-digit", 90),)), Settings(weights=(("kept-digit", 5000),)))
    for _ in range(12):
        music = random_passage(rng, rng.choice((3, 4, 5)))
        music = music._replace(onsets=sometimes_kept(rng, music.onsets, 0.8))
        agree(music, rng.choice((SMALL, MEDIUM, LARGE)), rng.choice(settings))


def test_a_note_that_sounds_twice_is_decided_as_by_brute_force() -> None:
    rng = Random("kept and used twice")
    for _ in range(25):
        first = sometimes_kept(rng, onsets(" ".join(rng.choice(("C4", "E4", "G4", "C4-E4")) for _ in range(3))), 0.8)
        steps = (Step(0, 1, 200), Step(1, 2, 200), Step(2, 3, 200, pause=True), Step(3, 4, 150), Step(4, 5, 150))
        music = Passage((*first, *first), steps)
        answer = place(music, MEDIUM)
        cost, digits = Brute(music, MEDIUM, Settings()).best_together()
        assert (answer.cost, answer.bound) == (cost, cost)
        found = {
            key: finger
            for note, fingers in zip(music.onsets, answer.fingers, strict=True)
            for key, finger in zip(note.keys, fingers, strict=True)
        }
        assert found == digits


def test_what_is_kept_wins_where_little_is_lost() -> None:
    """4 3 2 1 4 3 2 1 is the published fingering (S. Ballard); 3 2 1 3 2 1 2 1 has once been practised."""
    music = connected(keeping(OCTAVE, 3, 2, 1, 3, 2, 1, 2, 1))
    assert read(place(connected(onsets(OCTAVE)), MEDIUM)) == "4 3 2 1 | 4 3 2 1"
    assert read(place(music, MEDIUM)).replace(" |", "") == "3 2 1 3 2 1 2 1"


def test_without_its_weight_nothing_is_kept() -> None:
    music = connected(keeping(OCTAVE, 3, 2, 1, 3, 2, 1, 2, 1))
    free = Settings(weights=(("kept-digit", 0),))
    assert place(music, MEDIUM, free).fingers == place(connected(onsets(OCTAVE)), MEDIUM, free).fingers


def test_locks_win() -> None:
    notes = keeping("C4 D4 E4", 3, 2, 1)
    locked = (notes[0]._replace(locks=(4,)), *notes[1:])
    assert read(place(connected(locked), MEDIUM)).startswith("4 ")


def test_the_cost_is_named_in_the_ledger() -> None:
    notes = keeping("C4 D4 E4", 4, None, 1)
    music = connected((notes[0]._replace(locks=(3,)), *notes[1:]))
    ledger = explain_costs(music, place(music, MEDIUM), MEDIUM)
    assert ledger.units()["kept-digit"] == 1
    assert [item.onsets for item in ledger.items if item.rule == "kept-digit"] == [(0,)]
