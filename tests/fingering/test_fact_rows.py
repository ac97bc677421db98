"""Rows of the trade that hold in any music, and comparisons that they make, each with its source. [P] published,
[T] common practice without a source, [M] from memory."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest

from lyfinger.fingering.figure_rules import cross_over, cross_under, hop, lift
from lyfinger.fingering.model import Passage, Placed
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.fingering.shape_rules import gap_between_fingers, stretch
from lyfinger.fingering.views import Move, Shape
from lyfinger.harp.hand import HANDS, MEDIUM
from lyfinger.harp.profile import HARPS, PEDAL
from lyfinger.harp.reach import Reach
from lyfinger.marking.weighing import LEVELS
from tests.fingering.music import passage
from tests.fingering.random_music import random_passage
from tests.whole.command import notes_in


def shapes(music: Passage, answer: Placed) -> list[dict[int, int]]:
    """String → finger of each placing that has digits, ascending."""
    held: dict[int, dict[int, int]] = {}
    for onset, fingers, placing in zip(music.onsets, answer.fingers, answer.placings, strict=True):
        for string, finger in zip(onset.strings, fingers, strict=True):
            if None not in fingers and finger is not None:
                held.setdefault(placing, {})[string] = finger
    return [dict(sorted(shape.items())) for shape in held.values()]


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("gap", [100, 900])
def test_what_no_hand_level_harp_or_tempo_changes(level: str, hand: str, gap: int) -> None:
    """Fingers 1–4 ([P] Bligh; Rimsky-Korsakov), distinct in a placing ([P] Hall), the thumb on the highest string
    ([P] Hall), a shape of four 4 3 2 1 [T]. A learner's hand, a small harp, a slow tempo change weights alone [T]."""
    rng = Random(f"rows {level} {hand} {gap}")
    for harp in (PEDAL, HARPS["lever-27"]):
        settings = Settings(harp=harp, weights=tuple(LEVELS[level].items()))
        music = random_passage(rng, 30)
        timed = Passage(music.onsets, tuple(type(step)(step.before, step.after, gap) for step in music.steps))
        for shape in shapes(timed, place(timed, HANDS[hand], settings)):
            fingers = list(shape.values())
            assert set(fingers) <= {1, 2, 3, 4}
            assert fingers == sorted(set(fingers), reverse=True)
            assert len(fingers) < 4 or fingers == [4, 3, 2, 1]


def crossing(old: int, new: int, leap: int, haste: int) -> Move:
    return Move((0,), (old,), (leap,), (new,), haste)


@pytest.mark.parametrize("haste", [0, 500, 1000])
@pytest.mark.parametrize("finger", [2, 3, 4])
def test_going_up_is_the_harder_one(finger: int, haste: int) -> None:
    """[P] S. Ballard; Telenn Vruk, lesson 15."""
    under = cross_under(crossing(1, finger, 1, haste))
    over = cross_over(crossing(finger, 1, -1, haste))
    assert under > over > 0
    assert cross_over(crossing(1, finger, 1, haste)) == cross_under(crossing(finger, 1, -1, haste)) == 0


def test_a_crossing_by_step_or_third_is_natural_and_a_wider_one_awkward_in_quick_notes() -> None:
    """[M]."""
    for rule, old, new, way in ((cross_under, 1, 4, 1), (cross_over, 4, 1, -1)):
        for haste in (0, 1000):
            step, third, fourth, fifth = (rule(crossing(old, new, way * leap, haste)) for leap in (1, 2, 3, 4))
            assert step == third < fourth < fifth
        slow, quick = (rule(crossing(old, new, way * 4, haste)) for haste in (0, 1000))
        assert slow < quick


def test_a_hop_is_fine_when_slow_and_a_fault_in_a_fast_figure() -> None:
    """[T]; [P] Bligh, who lets five notes hop when they are not fast."""
    slow, middle, fast = (hop(crossing(2, 2, 3, haste)) for haste in (0, 500, 1000))
    assert slow < middle < fast
    assert slow * 5 < fast


def test_one_finger_is_always_on_a_string() -> None:
    """[P] Melody's Traditional Music, Brackets and Placing: two fingers that can't stand on both strings at once."""
    assert lift(crossing(2, 1, 4, 1000)) == 0
    assert lift(crossing(2, 1, 9, 1000)) > 0
    assert lift(crossing(2, 1, 9, 0)) == 0


@pytest.mark.parametrize("low", [14, 21, 28, 35])
@pytest.mark.parametrize("gap", [3, 4])
def test_the_gap_belongs_beside_the_thumb(low: int, gap: int) -> None:
    """[T]; [P] Harp Legacy Project: easy to open the thumb against a finger, hard two fingers against each other."""
    reach = Reach(MEDIUM, PEDAL)
    by_thumb, by_index, by_middle = (
        stretch(shape) + gap_between_fingers(shape)
        for shape in (
            Shape((low, low + 1, low + 1 + gap), (3, 2, 1), reach),
            Shape((low, low + gap, low + gap + 1), (3, 2, 1), reach),
            Shape((low, low + gap, low + gap + 1), (4, 3, 1), reach),
        )
    )
    assert by_thumb < by_index < by_middle


def test_a_held_note_does_not_hold_the_finger() -> None:
    """[T]: the string rings on. The thumb's whole note over seven quick notes, which need every finger."""
    music = r"\relative { \clef treble \tempo 4 = 120 << { c''1 } \\ { r8 e, f g a b c d } >> }"
    notes = notes_in(rf"\new PianoStaff << \new Staff {music} \new Staff {{ R1 }} >>")
    assert {note["hand"] for note in notes} == {"right"}
    held, *others = (note["finger"] for note in notes)
    assert held in others


def test_five_notes_in_one_direction() -> None:
    """[P] Bligh: a slide in a fast figure; with the slides off, never one finger on two strings in haste."""
    for notes in ("C4 D4 E4 F4 G4", "G4 F4 E4 D4 C4"):
        fast = place(passage(notes, 120), MEDIUM).fingers
        assert sum(one == two for one, two in pairwise(fast)) == 1
        dear = Settings(weights=(("slide", 1000), ("slide-up", 1000)))
        without = place(passage(notes, 120), MEDIUM, dear).fingers
        assert all(one != two for one, two in pairwise(without))
