"""The search against every possibility: the same cost, the same digits, the same placings.

A few hundred phrases by default; LYFINGER_BRUTE=5000 asks for more.
"""

from __future__ import annotations

import os
from random import Random

import pytest

from lyfinger.fingering.model import Passage
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.harp.hand import LARGE, MEDIUM, SMALL, HandProfile
from lyfinger.harp.profile import HARPS
from tests.fingering.brute import Brute
from tests.fingering.music import explain_costs
from tests.fingering.random_music import random_passage

PHRASES = int(os.environ.get("LYFINGER_BRUTE", "300"))
BATCHES = 10


def agree(passage: Passage, hand: HandProfile, settings: Settings) -> int:
    """Compare every chain; returns how many candidates were priced."""
    answer = place(passage, hand, settings)
    brute = Brute(passage, hand, settings)
    total = 0
    for group in brute.plan.groups:
        for chain in group.chains:
            cost, digits, starts = brute.best(chain)
            total += cost
            assert answer.fingers[chain.first : chain.last + 1] == digits
            numbers = answer.placings[chain.first : chain.last + 1]
            assert tuple(i for i, number in enumerate(numbers) if not i or number != numbers[i - 1]) == starts
    assert (answer.cost, answer.bound) == (total, total)
    assert explain_costs(passage, answer, hand, settings).total == answer.cost
    return brute.count


@pytest.mark.parametrize("batch", range(BATCHES))
def test_search_equals_brute_force(batch: int) -> None:
    rng = Random(f"brute force {batch}")
    hands = (SMALL, MEDIUM, MEDIUM, LARGE)
    settings = (
        Settings(),
        Settings(weights=(("four-string-placing", 400),)),
        Settings(sight=2),
        Settings(harp=HARPS["lever-36"]),
    )
    for _ in range(PHRASES // BATCHES):
        agree(random_passage(rng, rng.choice((2, 3, 4, 4, 5, 5))), rng.choice(hands), rng.choice(settings))


def test_ties_are_broken_alike_when_everything_is_free() -> None:
    """With every rule off all answers cost nothing: the first in reading order has to win."""
    free = Settings()
    for rule in ("short-placing", "placing", "beat-group", "trained-pair", "three-finger-shape", "stretch", "cramp"):
        free = free._replace(weights=(*free.weights, (rule, 0)))
    rng = Random("free of charge")
    for _ in range(PHRASES // 10):
        agree(random_passage(rng, rng.choice((2, 3, 4))), MEDIUM, free)
