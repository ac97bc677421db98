"""Ties in long phrases: what earlier comparisons found changes no digit, and keeps the work in proportion.

Brute force and the plain walk back (nothing remembered) are what the answers are held to.
"""

from __future__ import annotations

from random import Random

import pytest

from lyfinger.fingering import ties
from lyfinger.fingering.model import Passage
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.fingering.tables import tables_for
from lyfinger.fingering.weights import WEIGHTS
from lyfinger.harp.hand import MEDIUM
from tests.fingering.music import connected, numbered, onsets
from tests.fingering.random_music import random_onsets, random_passage, shuffled_reading
from tests.fingering.test_brute_force import agree

NEVER = 1_000_000


def free() -> Settings:
    """Every rule off but the price of a placing: nearly all answers cost the same."""
    settings = Settings()
    for rule in WEIGHTS:
        if rule != "placing":
            settings = settings._replace(weights=(*settings.weights, (rule, 0)))
    return settings


def answer(passage: Passage, settings: Settings, stride: int, monkeypatch: pytest.MonkeyPatch) -> object:
    """The answer where what is found is remembered at every ``stride``-th onset."""
    monkeypatch.setattr(ties, "_STRIDE", stride)
    tables_for.cache_clear()
    return place(passage, MEDIUM, settings)


@pytest.mark.parametrize("stride", [1, 2, 3])
def test_with_ties_remembered_the_search_equals_brute_force(stride: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ties, "_STRIDE", stride)
    rng = Random(f"ties {stride}")
    for settings in (free(), Settings()):
        tables_for.cache_clear()
        for _ in range(12):
            agree(random_passage(rng, 5), MEDIUM, settings)


@pytest.mark.parametrize("seed", range(12))
def test_a_long_phrase_gets_the_digits_of_the_plain_walk(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = Random(f"long ties {seed}")
    notes = random_onsets(rng, 4, plain=True) * rng.randint(8, 16) if seed % 2 else random_onsets(rng, 48, plain=True)
    notes = numbered(notes)
    if seed % 3 == 0:
        notes = shuffled_reading(rng, notes)
    passage = connected(notes, rng.choice((150, 250, 400)))
    for settings in (free(), Settings()):
        plain = answer(passage, settings, NEVER, monkeypatch)
        for stride in (1, 4, 8):
            assert answer(passage, settings, stride, monkeypatch) == plain


def steps_for(repeats: int, monkeypatch: pytest.MonkeyPatch) -> int:
    """How many onsets are compared in a phrase that says the same many times over."""
    count = 0
    at = ties.Ties._at

    def counted(self: ties.Ties, one: ties.State, two: ties.State, place: int) -> ties._Difference:
        nonlocal count
        count += 1
        return at(self, one, two, place)

    tables_for.cache_clear()
    with monkeypatch.context() as patch:
        patch.setattr(ties.Ties, "_at", counted)
        place(connected(numbered(onsets("C4 C4 C4 C4") * repeats), 300), MEDIUM)
    return count


def test_the_work_grows_with_the_phrase(monkeypatch: pytest.MonkeyPatch) -> None:
    """By the plain walk it would grow a hundredfold."""
    short, long = (steps_for(repeats, monkeypatch) for repeats in (20, 200))
    assert 0 < long < 12 * short
