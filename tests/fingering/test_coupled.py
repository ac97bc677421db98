"""Music that is played more than once: repeats, alternatives, reused notes. One source note has one digit."""

from __future__ import annotations

import os
from collections.abc import Callable
from random import Random

import pytest

from lyfinger.fingering.model import Onset, Passage, Step
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.harp.hand import MEDIUM
from tests.fingering.brute import Brute
from tests.fingering.music import connected, explain_costs, onsets, passage, read
from tests.fingering.random_music import GAPS, random_onsets

CASES = int(os.environ.get("LYFINGER_BRUTE", "300")) // 8


def played_twice(rng: Random) -> Passage:
    """A few notes with different lead-ins, played again after a free lift or in one go."""
    shared = random_onsets(rng, rng.choice((2, 2, 2, 3)), plain=rng.random() < 0.5)
    key = 100
    fresh: list[tuple[Onset, ...]] = []
    for _ in range(2):
        notes = random_onsets(rng, rng.choice((0, 1)), plain=True)
        fresh.append(tuple(n._replace(keys=tuple(k + key for k in n.keys), orders=n.keys) for n in notes))
        key += 100
    notes = (*fresh[0], *shared, *fresh[1], *shared)
    count = [0]

    def counted(note: Onset) -> Onset:
        if note.keys[0] >= 100:
            count[0] += 1
        return note._replace(orders=tuple(key * 3 + count[0] for key in note.keys))

    ordered = tuple(counted(note) for note in notes)
    by_key = {note.keys: note.orders for note in reversed(ordered)}
    ordered = tuple(note._replace(orders=by_key[note.keys]) for note in ordered)
    lift = len(fresh[0]) + len(shared) - 1
    steps = [Step(i, i + 1, rng.choice(GAPS)) for i in range(len(notes) - 1)]
    if rng.random() < 0.6:
        steps[lift] = Step(lift, lift + 1, 3000)
    return Passage(ordered, tuple(steps))


def repeated(rng: Random) -> Passage:
    """A repeat with its step back, sometimes with two endings."""
    notes = random_onsets(rng, rng.choice((3, 4)), plain=rng.random() < 0.5)
    last = len(notes) - 1
    begin = rng.randint(0, 1)
    steps = [Step(i, i + 1, rng.choice(GAPS)) for i in range(last)]
    if rng.random() < 0.5:
        steps.append(Step(last, begin, rng.choice(GAPS)))
    else:
        steps[-1] = Step(last - 2, last, rng.choice(GAPS))
        steps.append(Step(last - 1, begin, rng.choice(GAPS)))
    return Passage(notes, tuple(steps))


@pytest.mark.parametrize("kind", [played_twice, repeated], ids=["reused", "repeat"])
def test_joint_answers_equal_joint_brute_force(kind: Callable[[Random], Passage]) -> None:
    rng = Random(f"joint {kind.__name__}")
    compared = 0
    while compared < CASES:
        music = kind(rng)
        answer = place(music, MEDIUM)
        if answer.problems:
            continue
        cost, digit = Brute(music, MEDIUM, Settings()).best_together()
        mine = {
            key: finger
            for note, fingers in zip(music.onsets, answer.fingers, strict=True)
            for key, finger in zip(note.keys, fingers, strict=True)
        }
        assert (answer.cost, answer.bound, mine) == (cost, cost, digit)
        assert explain_costs(music, answer, MEDIUM).total == cost
        compared += 1


def one_digit_each(music: Passage, fingers: tuple[tuple[int | None, ...], ...]) -> bool:
    seen: dict[int, int | None] = {}
    return all(
        seen.setdefault(key, finger) == finger
        for note, own in zip(music.onsets, fingers, strict=True)
        for key, finger in zip(note.keys, own, strict=True)
    )


def test_an_unfolded_figure_has_the_same_digits_each_time() -> None:
    figure = onsets("C3 G3 E3 G3")
    music = connected(figure * 8, 150)
    answer = place(music, MEDIUM)
    assert answer.fingers[:4] == ((3,), (1,), (2,), (1,))
    assert one_digit_each(music, answer.fingers)
    assert answer.bound == answer.cost


def test_a_repeat_counts_its_step_back() -> None:
    """C D E F round and round: from F back to C the ring finger goes on; the answer is proven."""
    notes = onsets("C4 D4 E4 F4")
    music = Passage(notes, (*connected(notes, 150).steps, Step(3, 0, 150)))
    answer = place(music, MEDIUM)
    assert answer.bound == answer.cost
    assert [item.rule for item in explain_costs(music, answer, MEDIUM).items if item.onsets == (3, 0)] == ["placing"]
    plain = place(connected(notes, 150), MEDIUM)
    assert answer.cost > plain.cost


def test_no_placing_goes_over_a_jump() -> None:
    notes = onsets("C4 D4 E4 F4")
    music = Passage(notes, (*connected(notes, 250).steps, Step(3, 2, 250)))
    answer = place(music, MEDIUM)
    assert answer.placings[1] != answer.placings[2]


def test_both_endings_are_tied_to_the_bar_before_them() -> None:
    notes = onsets("C4 D4 E4 F4 G4 A4 B4")
    steps = (*(Step(i, i + 1, 150) for i in range(4)), Step(4, 0, 150), Step(2, 5, 150), Step(5, 6, 150))
    answer = place(Passage(notes, steps), MEDIUM)
    assert answer.bound == answer.cost
    assert answer.placings[2] != answer.placings[3]
    assert answer.lifts == frozenset()


def test_a_large_group_gives_the_best_found_and_a_proven_bound() -> None:
    """Two differently ordered uses of the same notes; with no work allowed the bound may be lower."""
    rng = Random("large group")
    shared = random_onsets(rng, 12, plain=True)
    mixed = list(shared)
    rng.shuffle(mixed)
    music = connected((*shared, *mixed), 130)
    exact = place(music, MEDIUM, Settings(coupling_limit=10_000_000))
    rough = place(music, MEDIUM, Settings(coupling_limit=1))
    assert exact.bound == exact.cost
    assert rough.bound <= exact.cost <= rough.cost
    assert one_digit_each(music, rough.fingers)
    assert explain_costs(music, rough, MEDIUM).total == rough.cost


def test_notes_that_can_not_agree_are_a_problem_and_the_rest_is_solved() -> None:
    """A note that is above another in one place and below it in the other."""
    first = Onset((28, 30), (0, 1), (None, None), (0, 1))
    turned = Onset((28, 30), (1, 0), (None, None), (1, 0))
    tail = Onset((29,), (2,), (None,), (2,))
    answer = place(connected((first, turned, tail)), MEDIUM)
    assert [(p.onset, p.rule) for p in answer.problems] == [(1, "reused-note")]
    assert answer.fingers == ((2, 1), (None, None), (1,))


def test_a_lifted_repeat_ties_nothing() -> None:
    notes = onsets("C4 D4 E4 F4")
    steps = connected(notes).steps
    tied = Passage(notes, (*steps, Step(3, 0, 250, pause=True)))
    assert place(tied, MEDIUM).fingers == place(passage("C4 D4 E4 F4"), MEDIUM).fingers
    assert read(place(tied, MEDIUM)) == "4 3 2 1"
