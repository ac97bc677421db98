"""A free lift resets everything: phrases stand alone, and the same phrase gets the same digits."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lyfinger.fingering.model import Onset, Passage, Step
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.fingering.tables import tables_for
from lyfinger.fingering.weights import WEIGHTS
from lyfinger.harp.hand import MEDIUM
from tests.fingering.music import connected, numbered, onset, onsets, passage
from tests.fingering.random_music import GAPS, random_onsets, random_passage, shuffled_reading

LONG = Settings().lift_gap


def phrased(rng: Random, phrases: list[tuple[Onset, ...]], gaps: list[list[int]], ends: list[Step]) -> Passage:
    """Phrases in a row with a free lift between each two."""
    notes = numbered(tuple(note for phrase in phrases for note in phrase))
    steps: list[Step] = []
    start = 0
    for phrase, own, end in zip(phrases, gaps, ends, strict=True):
        steps += [Step(start + i, start + i + 1, gap) for i, gap in enumerate(own)]
        start += len(phrase)
        if start < len(notes):
            steps.append(end._replace(before=start - 1, after=start))
    return Passage(notes, tuple(steps))


def random_phrases(rng: Random) -> tuple[list[tuple[Onset, ...]], list[list[int]], list[Step]]:
    phrases = [random_onsets(rng, rng.randint(1, 9)) for _ in range(5)]
    gaps = [[rng.choice(GAPS) for _ in phrase[1:]] for phrase in phrases]
    ends = [rng.choice((Step(0, 0, LONG), Step(0, 0, 300, pause=True))) for _ in phrases]
    return phrases, gaps, ends


@pytest.mark.parametrize("seed", range(40))
def test_an_edit_changes_no_digit_outside_its_phrase(seed: int) -> None:
    rng = Random(f"edit {seed}")
    phrases, gaps, ends = random_phrases(rng)
    before = place(phrased(rng, phrases, gaps, ends), MEDIUM)
    edited = rng.randrange(len(phrases))
    notes = list(phrases[edited])
    where = rng.randrange(len(notes))
    kind = rng.choice(("change", "insert", "delete"))
    if kind == "change":
        notes[where] = random_onsets(rng, 1)[0]
    elif kind == "insert":
        notes.insert(where, random_onsets(rng, 1)[0])
        gaps[edited].insert(0, rng.choice(GAPS))
    elif len(notes) > 1:
        del notes[where]
        del gaps[edited][0]
    lengths = [len(phrase) for phrase in phrases]
    phrases[edited] = tuple(notes)
    after = place(phrased(rng, phrases, gaps, ends), MEDIUM)
    head = sum(lengths[:edited])
    tail = sum(lengths[edited + 1 :])
    assert after.fingers[:head] == before.fingers[:head]
    assert tail == 0 or after.fingers[-tail:] == before.fingers[-tail:]


@pytest.mark.parametrize("seed", range(20))
def test_the_same_phrase_written_twice_gets_the_same_digits(seed: int) -> None:
    rng = Random(f"twice {seed}")
    phrases, gaps, ends = random_phrases(rng)
    phrases[4], gaps[4] = phrases[0], gaps[0]
    answer = place(phrased(rng, phrases, gaps, ends), MEDIUM)
    count = len(phrases[0])
    assert answer.fingers[:count] == answer.fingers[-count:]


@pytest.mark.parametrize("seed", range(10))
def test_what_was_solved_before_changes_nothing(seed: int) -> None:
    """Every shortcut on or off gives the same answer: fresh tables against tables that have seen other music."""
    rng = Random(f"shortcut {seed}")
    music = phrased(rng, *random_phrases(rng))
    seasoned = place(music, MEDIUM)
    for _ in range(3):
        place(phrased(rng, *random_phrases(rng)), MEDIUM)
    assert place(music, MEDIUM) == seasoned
    tables_for.cache_clear()
    assert place(music, MEDIUM) == seasoned


def test_tables_that_have_been_emptied_give_the_same_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lyfinger.fingering.tables._FULL", 10)
    rng = Random("emptied")
    music = [phrased(rng, *random_phrases(rng)) for _ in range(4)]
    first = [place(one, MEDIUM) for one in music]
    assert len(tables_for(MEDIUM, Settings()).phrases) < 40
    assert [place(one, MEDIUM) for one in music] == first


@pytest.mark.parametrize("seed", range(20))
def test_music_that_differs_in_reading_order_or_shared_notes_alone_is_told_apart(seed: int) -> None:
    """Answers are remembered by content; who is read first and which notes are one belong to it."""
    rng = Random(f"told apart {seed}")
    plain = random_passage(rng, 5)
    steps = (*plain.steps, Step(4, 0, rng.choice(GAPS)))
    first, last = plain.onsets[0], plain.onsets[4]
    twice = first._replace(keys=last.keys, orders=last.orders) if len(first.keys) == len(last.keys) else first
    variants = [
        plain,
        Passage(shuffled_reading(rng, plain.onsets), plain.steps),
        Passage(plain.onsets, steps),
        Passage((twice, *plain.onsets[1:]), steps),
        Passage(shuffled_reading(rng, plain.onsets), steps),
    ]
    easy = Settings(weights=tuple((rule, 0) for rule in sorted(WEIGHTS) if rule not in ("hop", "turn")))
    fresh = []
    for music in variants:
        tables_for.cache_clear()
        fresh.append(place(music, MEDIUM, easy))
    assert [place(music, MEDIUM, easy) for music in variants] == fresh
    assert [place(music, MEDIUM, easy) for music in reversed(variants)] == fresh[::-1]


notes = st.lists(st.integers(15, 45), min_size=1, max_size=12)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(notes, notes, st.sampled_from(GAPS))
def test_two_phrases_are_fingered_as_each_alone(first: list[int], second: list[int], gap: int) -> None:
    one = connected(numbered(tuple(onset((string,)) for string in first)), gap)
    two = connected(numbered(tuple(onset((string,)) for string in second)), gap)
    steps = [Step(s.before + len(first), s.after + len(first), s.gap) for s in two.steps]
    lift = Step(len(first) - 1, len(first), LONG)
    both = Passage(numbered((*one.onsets, *two.onsets)), (*one.steps, lift, *steps))
    answer = place(both, MEDIUM)
    alone = [place(music, MEDIUM) for music in (one, two)]
    assert answer.fingers == alone[0].fingers + alone[1].fingers
    assert answer.cost == alone[0].cost + alone[1].cost
    assert answer.lifts == {0, len(first)}


def test_a_long_gap_is_a_free_lift_and_a_shorter_one_is_not() -> None:
    for gap, lifts in ((LONG, {0, 1}), (LONG - 1, {0})):
        assert place(passage("C4 D4", gap), MEDIUM).lifts == lifts


def test_harmonics_are_the_thumbs_and_no_placing_goes_through_them() -> None:
    first, second, third = onsets("C4 E4 G4")
    answer = place(connected((first, second._replace(thumb_only=True), third)), MEDIUM)
    assert answer.fingers[1] == (1,)
    assert answer.lifts == {0, 1, 2}
    assert len(set(answer.placings)) == 3


def test_the_empty_passage() -> None:
    answer = place(Passage((), ()), MEDIUM)
    assert (answer.fingers, answer.placings, answer.cost) == ((), (), 0)
