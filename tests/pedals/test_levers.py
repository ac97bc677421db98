"""Levers. The table of keys and that each lever moves its own string: [P] D. Perrett, Tips on composing for harp."""

from __future__ import annotations

import pytest

from lyfinger.hands.assign import assign
from lyfinger.hands.model import Hand
from lyfinger.pedals.levers import LeverPlan, plan_levers, tuning
from lyfinger.score.tempo import pace

from ..score.sources import reading_of
from .music import staves

#: Levers that are up for a major key, from E♭ tuning: [P] Perrett.
TABLE = {
    "ees": "",
    "bes": "A",
    "f": "AE",
    "c": "AEB",
    "g": "AEBF",
    "d": "AEBFC",
    "a": "AEBFCG",
    "e": "AEBFCGD",
}


def plan(upper: str, lower: str, tuned: str = "Eb") -> LeverPlan:
    score = reading_of(staves(upper, lower)).scores[0]
    return plan_levers(score, assign(score, {}), 0, pace(score), tuning(tuned))


def scale(key: str, tuned: str = "Eb") -> LeverPlan:
    return plan(f"\\transpose c {key} {{ c'8 d' e' f' g' a' b' c'' }}", "r1", tuned)


def up(found: LeverPlan) -> set[str]:
    """The letters whose levers are up before the start, where the harp has every note and no lever moves."""
    assert not found.changes
    assert not found.impossible
    return {pitch.name[0] for pitch in found.start}


@pytest.mark.parametrize(("key", "letters"), TABLE.items())
def test_the_published_table(key: str, letters: str) -> None:
    assert up(scale(key)) == set(letters)


@pytest.mark.parametrize("key", ["aes", "des", "b", "fis"])
def test_keys_that_the_usual_tuning_does_not_have(key: str) -> None:
    """Derived: a lever raises by one semitone, and the table ends at E."""
    assert scale(key).impossible


def test_another_tuning() -> None:
    assert tuning("C") == (0,) * 7
    assert up(scale("d", "C")) == {"F", "C"}
    assert scale("bes", "C").impossible


def test_levers_up_before_the_start_are_strings() -> None:
    found = plan("a'4 b' e'' bes''", "es1")
    assert [pitch.name for pitch in found.start] == ["A4", "B4", "E5"]
    assert not found.changes
    assert not found.impossible


def test_the_left_hand_moves_a_lever_while_it_is_free() -> None:
    found = plan("f''4 g'' fis''2", "bes4 r2.")
    assert [(one.after.pitch.name, one.up, one.hand) for one in found.changes] == [("F♯5", True, Hand.LEFT)]


def test_the_right_hand_does_where_the_left_one_plays() -> None:
    found = plan("f''4 r2 fis''4", "bes8 c' bes c' bes c' bes c'")
    assert [one.hand for one in found.changes] == [Hand.RIGHT]


def test_no_hand_is_free() -> None:
    found = plan("f''8 g'' fis'' g'' r2", "bes8 c' bes c' r2")
    assert [one.hand for one in found.changes] == [None]


def test_a_hand_moves_one_lever_after_the_other() -> None:
    """Two levers in one rest of 833 ms: each hand takes one; a third has nobody. The time for one is from memory."""
    two = plan("<f' c''>4 r <fis' cis''>2", "r1")
    assert sorted(str(one.hand) for one in two.changes) == ["left", "right"]
    three = plan("<f' c'' g''>4 r <fis' cis'' gis''>2", "bes8 c' bes c' r2")
    assert sorted(str(one.hand) for one in three.changes) == ["None", "None", "right"]


def test_each_lever_moves_its_own_string_only() -> None:
    assert not plan("<f' fis''>1", "r1").changes


def test_what_no_lever_gives() -> None:
    assert [note.pitch.name for note in plan("des''2 fes''", "r1").impossible] == ["D♭5", "F♭5"]
