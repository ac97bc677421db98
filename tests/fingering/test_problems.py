"""What can't be fingered is named, keeps its locks, and parts the hand; everything else is solved."""

from __future__ import annotations

from random import Random

import pytest

from lyfinger.fingering.problems import PROBLEMS
from lyfinger.fingering.search import place
from lyfinger.harp.hand import MEDIUM
from tests.fingering.music import passage
from tests.fingering.random_music import random_passage

IMPOSSIBLE = [
    ("C4-D4-E4-F4-G4", "four-fingers", "[P] Rimsky-Korsakov: a fifth note in one hand"),
    ("C3-C5", "reach", "[P] Harp Legacy Project: two octaves"),
    ("C3-C4-G4", "reach", "[P] Harp Legacy Project: a twelfth"),
    ("C4-A4-B4-C5", "reach", "a 6th between 3 and 4, no source"),
    ("C4=5", "finger-number", "[P] Bligh: digit 5"),
    ("C4=0-E4=1", "finger-number", "[P] Bligh"),
    ("C4=2-E4=2", "finger-twice", "[T]"),
    ("C4=1-E4=2", "crossed-fingers", "[P] Hall: the thumb on the highest string"),
    ("C4-E4=4", "no-finger-left", "[P] Hall"),
    ("C4=2-E4-G4=1", "no-finger-left", "[P] Hall"),
]


@pytest.mark.parametrize(("chord", "rule", "source"), IMPOSSIBLE)
def test_impossible_onsets(chord: str, rule: str, source: str) -> None:
    answer = place(passage(f"C4 E4 G4 {chord} C4 E4 G4"), MEDIUM)
    assert [(p.onset, p.rule) for p in answer.problems] == [(3, rule)], source
    assert answer.fingers[:3] == answer.fingers[4:] == ((3,), (2,), (1,))
    assert answer.lifts == {0, 3, 4}
    assert answer.fingers[3] == passage(chord).onsets[0].locks


def test_every_problem_is_documented() -> None:
    assert {rule for _, rule, _ in IMPOSSIBLE} | {"reused-note"} == set(PROBLEMS)


def test_messages_are_in_trade_words() -> None:
    (problem,) = place(passage("C3-C5"), MEDIUM).problems
    assert problem.text == "C3 to C5 (213 mm) is out of the hand's reach (150 mm)"


@pytest.mark.parametrize("seed", range(30))
def test_locks_are_kept(seed: int) -> None:
    music = random_passage(Random(f"locks {seed}"), 20)
    answer = place(music, MEDIUM)
    for onset, fingers in zip(music.onsets, answer.fingers, strict=True):
        for lock, finger in zip(onset.locks, fingers, strict=True):
            assert lock is None or lock == finger


@pytest.mark.parametrize("seed", range(10))
def test_an_answer_locked_is_the_answer(seed: int) -> None:
    """Accepting every digit changes nothing: the same digits, the same cost, nothing to complain of."""
    music = random_passage(Random(f"accepted {seed}"), 20)
    answer = place(music, MEDIUM)
    locked = tuple(onset._replace(locks=fingers) for onset, fingers in zip(music.onsets, answer.fingers, strict=True))
    again = place(type(music)(locked, music.steps), MEDIUM)
    assert (again.fingers, again.problems) == (answer.fingers, answer.problems)
    assert again.cost == answer.cost


def test_locks_beyond_a_pairs_spread_are_the_players_choice() -> None:
    answer = place(passage("C4=2-E5=1 D4 E4"), MEDIUM)
    assert answer.problems == ()
    assert answer.fingers[0] == (2, 1)


def test_locks_are_planned_around() -> None:
    assert place(passage("C4 D4=2 E4 F4", 150), MEDIUM).fingers[1] == (2,)
