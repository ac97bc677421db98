"""Passages that share source notes are solved as one, and others alone."""

from __future__ import annotations

from lyfinger.fingering.model import Onset, Passage, Placed, Problem, Step
from lyfinger.fingering.search import place
from lyfinger.harp.hand import MEDIUM
from lyfinger.marking.joint import Solved, solve_jointly


def _passage(strings: list[int], keys: list[int], order: int = 0, lock: dict[int, int] | None = None) -> Passage:
    """Single notes, a quarter of a second apart."""
    locks = lock or {}
    onsets = tuple(
        Onset((string,), (key,), (locks.get(index),), (order + index,))
        for index, (string, key) in enumerate(zip(strings, keys, strict=True))
    )
    return Passage(onsets, tuple(Step(index, index + 1, 250) for index in range(len(onsets) - 1)))


class _Asked:
    """Solves like the search, and remembers what it was asked."""

    def __init__(self) -> None:
        self.passages: list[Passage] = []

    def __call__(self, passage: Passage) -> Placed:
        self.passages.append(passage)
        return place(passage, MEDIUM)


def _fingers(answer: Solved) -> list[int | None]:
    return [finger for onset in answer.fingers for finger in onset]


def test_passages_without_shared_notes_are_solved_alone() -> None:
    asked = _Asked()
    passages = [_passage([28, 29, 30], [0, 1, 2]), _passage([28, 30, 32], [3, 4, 5])]
    answers = solve_jointly(passages, asked)
    assert asked.passages == passages
    assert [answer.fingers for answer in answers] == [place(passage, MEDIUM).fingers for passage in passages]


def test_a_shared_note_gets_one_finger_in_both() -> None:
    rising, falling = [28, 29, 30, 31], [31, 30, 29, 28, 27, 26]
    alone = [place(_passage(strings, list(range(len(strings)))), MEDIUM) for strings in (rising, falling)]
    assert (alone[0].fingers[0], alone[1].fingers[0]) == ((4,), (1,))  # alone they want different fingers
    answers = solve_jointly([_passage(rising, [0, 1, 2, 3]), _passage(falling, [0, 4, 5, 6, 7, 8])], _Asked())
    assert _fingers(answers[0])[0] == _fingers(answers[1])[0]
    assert [len(answer.fingers) for answer in answers] == [4, 6]


def test_sharing_is_passed_on_and_keeps_the_order_of_the_answers() -> None:
    asked = _Asked()
    passages = [
        _passage([28, 29], [0, 1]),
        _passage([40, 41, 42], [7, 8, 9]),
        _passage([30, 31], [2, 3]),
        _passage([29, 30], [1, 2]),  # ties the first and the third together
    ]
    answers = solve_jointly(passages, asked)
    assert [len(passage.onsets) for passage in asked.passages] == [6, 3]
    assert [len(answer.fingers) for answer in answers] == [2, 3, 2, 2]
    assert _fingers(answers[0])[1] == _fingers(answers[3])[0]
    assert _fingers(answers[2])[0] == _fingers(answers[3])[1]


def test_the_same_passage_twice_is_solved_once() -> None:
    asked = _Asked()
    part, score = _passage([28, 29, 30], [0, 1, 2]), _passage([28, 29, 30], [0, 1, 2], order=50)
    answers = solve_jointly([part, score], asked)
    assert asked.passages == [part]
    assert answers[0] == answers[1]


def test_joined_passages_are_a_pause_apart_and_read_in_order() -> None:
    asked = _Asked()
    solve_jointly([_passage([28, 29], [0, 1], order=5), _passage([29, 31], [1, 2], order=3)], asked)
    (joined,) = asked.passages
    assert joined.steps == (Step(0, 1, 250), Step(1, 2, 0, pause=True), Step(2, 3, 250))
    orders = [order for onset in joined.onsets for order in onset.orders]
    assert orders == sorted(set(orders))


def test_placings_problems_and_lifts_are_each_passages_own() -> None:
    def answer(passage: Passage) -> Placed:
        count = len(passage.onsets)
        problems = tuple(Problem(index, "reach", "too far") for index in (1, 4) if index < count)
        return Placed(((1,),) * count, tuple(range(count)), frozenset({0, 3}), 7, 5, problems)

    passages = [_passage([28, 29, 30], [0, 1, 2]), _passage([40, 41], [5, 6]), _passage([30, 31, 32], [2, 3, 4])]
    first, alone, last = solve_jointly(passages, answer)
    assert (first.placings, last.placings, alone.placings) == ((0, 1, 2), (3, 4, 5), (6, 7))
    assert [problem.onset for problem in first.problems] == [1]
    assert [problem.onset for problem in last.problems] == [1]
    assert (first.lifts, last.lifts, alone.lifts) == (frozenset({0}), frozenset({0}), frozenset({0}))
    assert (first.cost, first.bound) == (7, 5)


def test_nothing_to_solve() -> None:
    assert solve_jointly([], _Asked()) == []
    (empty,) = solve_jointly([Passage((), ())], _Asked())
    assert empty.fingers == ()


def test_each_answer_knows_what_it_was_solved_with() -> None:
    passages = [_passage([28, 29, 30], [0, 1, 2]), _passage([40, 41], [5, 6]), _passage([30, 31, 32], [2, 3, 4])]
    asked = _Asked()
    first, alone, last = solve_jointly(passages, asked)
    assert first.joined is last.joined
    assert [item.joined.passage for item in (first, alone)] == asked.passages
    assert (first.start, alone.start, last.start) == (0, 0, 3)
    for answer in (first, alone, last):
        stop = answer.start + len(answer.fingers)
        assert answer.joined.placed.fingers[answer.start : stop] == answer.fingers
