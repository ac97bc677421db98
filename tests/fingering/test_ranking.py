"""Other fingerings found from both ends of a chain, against those found by searching it anew for each: two ways that
have nothing in common but the tables. Long phrases, where brute force can't follow; voices that interleave, locks,
signs, and music without weights, where nearly all costs are equal.

A few dozen phrases by default; LYFINGER_BRUTE=5000 asks for more.
"""

from __future__ import annotations

import os
from random import Random

import pytest

from lyfinger.fingering.alternatives import Alternatives
from lyfinger.fingering.bothways import BothWays
from lyfinger.fingering.ledger import cost_of
from lyfinger.fingering.model import Passage
from lyfinger.fingering.ranking import Ranking
from lyfinger.fingering.search import hangs_together, place, taken_apart
from lyfinger.fingering.settings import Settings
from lyfinger.fingering.tables import tables_for
from lyfinger.fingering.weights import WEIGHTS
from lyfinger.harp.hand import LARGE, MEDIUM, SMALL
from tests.fingering.music import connected, onsets
from tests.fingering.random_music import random_passage

CASES = int(os.environ.get("LYFINGER_BRUTE", "300")) // 30
ALIKE = Settings(
    weights=tuple((name, weight * (number % 5 == 1)) for number, (name, weight) in enumerate(WEIGHTS.items()))
)
"""Most rules say nothing: many answers cost the same, and only reading order tells them apart."""


def figures(rng: Random, keys: list[int]) -> list[list[int]]:
    """A placing's worth of notes, a longer stretch, some notes here and there, all of them."""
    at = rng.randrange(len(keys))
    scattered = sorted(rng.sample(keys, min(len(keys), 5)))
    return [keys[at : at + rng.randint(1, 5)], keys[at : at + 14], scattered, keys]


def agree(rng: Random, music: Passage, settings: Settings) -> int:
    hand = rng.choice((SMALL, MEDIUM, LARGE))
    answer = place(music, hand, settings)
    alternatives = Alternatives(music, answer, hand, settings)
    compared = 0
    for group in alternatives.plan.groups:
        if hangs_together(group, music):
            continue
        for figure in figures(rng, [key for i in group.chains[0].onsets for key in music.onsets[i].keys]):
            count = rng.choice((1, 3, 3, 9))
            others = alternatives.next_best(group, figure, count)
            assert others == alternatives.by_partition(group, figure, count)
            for other in others[:2]:
                whole = cost_of(music, other.fingers, other.placings, hand, settings)
                own = set(group.chains[0].onsets)
                assert list(other.ledger.items) == [item for item in whole.items if own.issuperset(item.onsets)]
            compared += len(others)
    return compared


@pytest.mark.parametrize("settings", [Settings(), ALIKE, Settings(sight=3)], ids=["usual", "alike", "short-sighted"])
def test_both_ends_find_what_searching_anew_finds(settings: Settings) -> None:
    rng = Random("both ends")
    compared = sum(agree(rng, random_passage(rng, rng.choice((5, 12, 30, 60))), settings) for _ in range(CASES))
    assert compared > 5 * CASES


def test_what_goes_through_the_best_states_costs_what_the_best_answer_costs() -> None:
    music = random_passage(Random("through"), 60)
    answer = place(music, MEDIUM)
    alternatives = Alternatives(music, answer, MEDIUM)
    tables = tables_for(MEDIUM, Settings())
    for group in alternatives.plan.groups:
        (part,), _ = taken_apart(group, music, alternatives.plan, tables)
        chain = BothWays(tables, part)
        best = min(state.cost for state in chain.standing[-1].values())
        assert chain.best.fingers == answer.fingers[group.chains[0].first : group.chains[0].last + 1]
        for at, state in chain.best_at.items():
            assert state.cost + chain.ahead[at][state.grip] == best


def test_equal_costs_are_listed_as_they_read() -> None:
    """Nothing costs anything: of four single notes each fingering is as good as any other."""
    free = Settings(weights=tuple((name, 0) for name in WEIGHTS))
    music = connected(onsets("C4 D4 E4 F4"), 180)
    alternatives = Alternatives(music, place(music, MEDIUM, free), MEDIUM, free)
    (group,) = alternatives.plan.groups
    tables = tables_for(MEDIUM, free)
    (part,), _ = taken_apart(group, music, alternatives.plan, tables)
    listed = Ranking(BothWays(tables, part), [0, 1, 2, 3]).listed(20, alternatives.placed.fingers)
    read = [tuple(finger for (finger,) in line.fingers) for line in listed]
    assert read == sorted(read)
    assert len(set(read)) == 20
    assert (1, 1, 1, 1) not in read
