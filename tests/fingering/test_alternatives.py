"""The next-best fingerings against every possibility: the same digits, in the same order, at the same costs.

A few dozen phrases by default; LYFINGER_BRUTE=5000 asks for more.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Sequence
from random import Random

import pytest

from lyfinger.fingering.alternatives import Alternatives, Choice
from lyfinger.fingering.ledger import cost_of
from lyfinger.fingering.model import Passage
from lyfinger.fingering.plan import Group
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.harp.hand import LARGE, MEDIUM, SMALL, HandProfile
from tests.fingering.brute import Brute, Fingers
from tests.fingering.music import connected, explain_costs, onsets, passage
from tests.fingering.random_music import random_onsets, random_passage
from tests.fingering.test_coupled import played_twice, repeated

CASES = int(os.environ.get("LYFINGER_BRUTE", "300")) // 8
Ranked = list[tuple[int, tuple[int, ...]]]
"""Cost and the digits of the figure, cheapest first."""


def every_answer(brute: Brute, group: Group) -> dict[tuple[int, ...], int]:
    """The least cost of every sequence of digits of a group: digits by key, in order of keys."""
    passage, chains = brute.passage, list(group.chains)
    cheapest: list[dict[tuple[Fingers, ...], int]] = []
    for chain in chains:
        costs: dict[tuple[Fingers, ...], int] = {}
        for cost, digits, _ in brute.candidates(chain):
            costs[digits] = min(cost, costs.get(digits, cost))
        cheapest.append(costs)
    answers: dict[tuple[int, ...], int] = {}
    for choice in brute.agreeing(chains, cheapest):
        fingers = {
            index: choice[number][0][index - chain.first]
            for number, chain in enumerate(chains)
            for index in chain.onsets
        }
        auditor = brute.auditor(fingers)
        cost = sum(cost for _, cost in choice)
        cost += sum(item.cost for jump in group.jumps for item in auditor.jump(jump))
        digit = {k: f for i, own in fingers.items() for k, f in zip(passage.onsets[i].keys, own, strict=True)}
        sequence = tuple(digit[key] for key in sorted(digit))
        answers[sequence] = min(cost, answers.get(sequence, cost))
    return answers


def keys_of(music: Passage, group: Group) -> list[int]:
    return sorted({key for chain in group.chains for i in chain.onsets for key in music.onsets[i].keys})


def ranked(brute: Brute, group: Group, figure: Sequence[int]) -> Ranked:
    """Every sequence of digits of a figure with its cheapest completion; ties as the whole reads."""
    keys = keys_of(brute.passage, group)
    order: dict[int, int] = {}
    for chain in group.chains:
        for index in chain.onsets:
            for key, place_in_text in zip(
                brute.passage.onsets[index].keys, brute.passage.onsets[index].orders, strict=True
            ):
                order.setdefault(key, place_in_text)
    reading = sorted(range(len(keys)), key=lambda at: order[keys[at]])
    best: dict[tuple[int, ...], tuple[int, tuple[int, ...]]] = {}
    for digits, cost in every_answer(brute, group).items():
        part = tuple(digits[keys.index(key)] for key in figure)
        whole = (cost, tuple(digits[at] for at in reading))
        best[part] = min(whole, best.get(part, whole))
    return [(whole[0], part) for part, whole in sorted(best.items(), key=lambda item: item[1])]


def figure_of(music: Passage, choice: Choice, figure: Sequence[int]) -> tuple[int, ...]:
    digit = {
        key: finger
        for onset, fingers in zip(music.onsets, choice.fingers, strict=True)
        for key, finger in zip(onset.keys, fingers, strict=True)
        if finger is not None
    }
    return tuple(digit[key] for key in figure)


def compare(rng: Random, music: Passage, hand: HandProfile) -> int:
    """Compare every group of a passage, for a figure that is all of it and for one that is not."""
    answer = place(music, hand)
    if answer.problems:
        return 0
    alternatives = Alternatives(music, answer, hand)
    brute = Brute(music, hand, Settings())
    for group in alternatives.plan.groups:
        keys = keys_of(music, group)
        for figure in (keys, sorted(rng.sample(keys, rng.randint(1, len(keys))))):
            expected = ranked(brute, group, figure)[:4]
            choices = (alternatives.best(group), *alternatives.next_best(group, figure))
            assert [(choice.cost, figure_of(music, choice, figure)) for choice in choices] == expected
            assert all(choice.proven for choice in choices)
    return 1


@pytest.mark.parametrize("batch", range(4))
def test_next_best_is_what_brute_force_says(batch: int) -> None:
    rng = Random(f"next best {batch}")
    for _ in range(CASES // 2):
        compare(rng, random_passage(rng, rng.choice((1, 2, 3, 4, 4, 5))), rng.choice((SMALL, MEDIUM, LARGE)))


@pytest.mark.parametrize("kind", [played_twice, repeated], ids=["reused", "repeat"])
def test_next_best_of_music_that_hangs_together(kind: Callable[[Random], Passage]) -> None:
    rng = Random(f"next best {kind.__name__}")
    assert sum(compare(rng, kind(rng), MEDIUM) for _ in range(CASES // 3)) > CASES // 6


@pytest.mark.parametrize("seed", range(6))
def test_costs_are_those_of_the_ledger(seed: int) -> None:
    """Each choice costs what the ledger says of its digits and placings; the groups' costs sum to the answer's."""
    rng = Random(f"alternatives {seed}")
    music = random_passage(rng, 40)
    answer = place(music, MEDIUM)
    alternatives = Alternatives(music, answer, MEDIUM)
    groups = alternatives.plan.groups
    assert sum(alternatives.best(group).cost for group in groups) == answer.cost == answer.bound
    assert sum(alternatives.bound(group) for group in groups) == answer.bound
    whole = explain_costs(music, answer, MEDIUM)
    assert Counter(i for g in groups for i in alternatives.best(g).ledger.items) == Counter(whole.items)
    group = max(groups, key=lambda group: len(keys_of(music, group)))
    others = alternatives.next_best(group, keys_of(music, group))
    assert [other.cost for other in others] == sorted(other.cost for other in others)
    for other in others:
        assert cost_of(music, other.fingers, other.placings, MEDIUM).total - answer.cost == (
            other.cost - alternatives.best(group).cost
        )


def test_locked_digits_stay_and_leave_fewer_choices() -> None:
    music = passage("C4=3 E4=2 G4 C5=1")
    answer = place(music, MEDIUM)
    alternatives = Alternatives(music, answer, MEDIUM)
    (group,) = alternatives.plan.groups
    others = alternatives.next_best(group, [0, 1, 2, 3], count=9)
    assert {tuple(finger for (finger,) in other.fingers) for other in others} == {
        (3, 2, finger, 1) for finger in range(1, 5) if finger != answer.fingers[2][0]
    }
    assert alternatives.next_best(group, [0, 1, 3]) == ()


def test_four_notes_at_once_have_no_other_fingering() -> None:
    music = passage("C4-E4-G4-C5")
    alternatives = Alternatives(music, place(music, MEDIUM), MEDIUM)
    assert alternatives.next_best(alternatives.plan.groups[0], [0, 1, 2, 3]) == ()


def test_an_onset_with_a_problem_is_in_no_group() -> None:
    music = passage("C4 C4-D4-E4-F4-G4 C4")
    alternatives = Alternatives(music, place(music, MEDIUM), MEDIUM)
    assert alternatives.group_of(1) is None
    assert alternatives.group_of(0) is not alternatives.group_of(2)


def test_another_passages_answer_is_refused() -> None:
    with pytest.raises(ValueError, match="another passage"):
        Alternatives(passage("C4 D4"), place(passage("C4"), MEDIUM), MEDIUM)


def test_what_was_not_proven_is_said() -> None:
    """Runs that use notes again in every order, and next to no work allowed: found, not proven."""
    rng = Random("too much")
    notes = random_onsets(rng, 9, plain=True)
    shuffled = [list(notes) for _ in range(3)]
    for line in shuffled:
        rng.shuffle(line)
    music = connected(tuple(note for line in shuffled for note in line), 150)
    limited = Settings(coupling_limit=1)
    answer = place(music, MEDIUM, limited)
    assert answer.bound < answer.cost
    alternatives = Alternatives(music, answer, MEDIUM, limited)
    (group,) = alternatives.plan.groups
    assert alternatives.bound(group) == answer.bound
    assert not alternatives.best(group).proven
    others = alternatives.next_best(group, keys_of(music, group)[:4])
    assert others
    assert not all(other.proven for other in others)


def test_the_second_best_scale() -> None:
    """Eight notes up are 4321 4321 (published); with fewer placings there is nothing, so the next one costs more."""
    music = connected(onsets("C4 D4 E4 F4 G4 A4 B4 C5"), 180)
    answer = place(music, MEDIUM)
    alternatives = Alternatives(music, answer, MEDIUM)
    (group,) = alternatives.plan.groups
    first, *_ = alternatives.next_best(group, range(8))
    assert first.cost > answer.cost
    assert first.placings[-1] >= 2
