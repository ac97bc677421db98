"""The solver against every possibility, on random problems and on random music. Counted independently."""

from __future__ import annotations

import os
import random

import pytest

from lyfinger.harp.feet import PedalSettings
from lyfinger.pedals.course import Course
from lyfinger.pedals.framing import Frame
from lyfinger.pedals.letters import FEET
from lyfinger.pedals.plan import plan_pedals
from lyfinger.pedals.problem import MEASURES, Problem, Stop, weigh
from lyfinger.pedals.solve import solve

from .brute import account, every_plan
from .music import course_in, plan_of, staves

COUNT = int(os.environ.get("LYFINGER_BRUTE", "300"))


def random_problem(seed: int) -> Problem:
    dice = random.Random(seed)
    pedals, length = dice.choice([(1, 6), (2, 4), (3, 3)])
    every = range(pedals)

    def some() -> frozenset[int]:
        return frozenset(pedal for pedal in every if dice.random() < 0.3)

    stops = tuple(
        Stop(
            choices=tuple(tuple(sorted(dice.sample((-1, 0, 1), dice.choice((1, 2, 2, 3))))) for _ in every),
            plucked=some(),
            under=some(),
            marked=some(),
            ended=tuple(dice.choice((None, 0, 200, 400, 900)) for _ in every),
            need=tuple(dice.choice((None, 0, 300, 700)) for _ in every),
            busy=dice.randrange(4),
            offbeat=dice.random() < 0.3,
            printable=dice.random() < 0.8,
            resting=dice.random() < 0.3,
            shown=dice.random() < 0.2,
        )
        for _ in range(length)
    )
    hops = [(at, at + 1, dice.choice((100, 300, 600))) for at in range(length - 1) if dice.random() < 0.9]
    for _ in range(dice.choice((0, 1, 1, 2))):
        early, late = sorted(dice.choices(range(length), k=2))
        turn = (late, early) if dice.random() < 0.7 or early == late else (early, late)
        if turn[1] != turn[0] + 1 and turn not in {hop[:2] for hop in hops}:
            hops.append((*turn, dice.choice((100, 600))))
    pairs = frozenset({frozenset({0, 1})}) if pedals > 1 and dice.random() < 0.5 else frozenset()
    return Problem(stops, tuple(sorted(hops)), pairs, tuple(dice.choice((100, 500, 1200)) for _ in stops))


def least(problem: Problem) -> tuple[int, ...]:
    return min(account(problem, plan) for plan in every_plan(problem))


def weighed(counts: tuple[int, ...]) -> int:
    return weigh(**dict(zip(MEASURES, counts, strict=True)))


@pytest.mark.parametrize("block", range(10))
def test_no_plan_counts_less(block: int) -> None:
    for seed in range(block * COUNT // 10, (block + 1) * COUNT // 10):
        problem = random_problem(seed)
        answer = solve(problem)
        counts = least(problem)
        assert answer.cost == weighed(counts), seed
        assert account(problem, tuple(answer.states)) == counts, seed
        assert answer.proven


NOTES = ("c", "cis", "ces", "d", "des", "b", "bes", "e", "es", "f", "fis", "g")


def random_music(seed: int) -> str:
    dice = random.Random(seed)

    def voice(count: int, marks: str) -> str:
        return " ".join(
            (dice.choice(NOTES) + marks if dice.random() < 0.8 else "r") + dice.choice(("8", "4", "4.", "2"))
            for _ in range(count)
        )

    upper = voice(dice.choice((2, 3, 4)), "''")
    if dice.random() < 0.6:
        upper = f"\\repeat volta 2 {{ {upper} }}"
    return staves(f"{upper} {dice.choice(NOTES)}'4", voice(dice.choice((0, 1, 2)), "") or "s1")


@pytest.mark.parametrize("block", range(5))
def test_another_alteration_than_the_last_and_the_next_is_of_no_use(block: int) -> None:
    """The problem as it is framed has the same best plan as one in which an idle pedal may stand anywhere."""
    for seed in range(block * COUNT // 15, (block + 1) * COUNT // 15):
        course = course_in(random_music(seed))
        for pedals in FEET.values():
            given = {step for moment in course.moments for step in (*moment.plucks, *moment.wanted)}
            used = [step for step in pedals if step in given][: 2 if len(course.moments) < 5 else 1]
            problem = Frame(course).problem(used, PedalSettings())
            stops = tuple(
                stop._replace(
                    choices=tuple(
                        choice if pedal in stop.plucked or pedal in stop.marked else (-1, 0, 1)
                        for pedal, choice in enumerate(stop.choices)
                    ),
                )
                for stop in problem.stops
            )
            free = problem._replace(stops=stops)
            if used and len(stops) <= 7:
                assert solve(problem).cost == weighed(least(free)), (seed, pedals)


@pytest.mark.parametrize("block", range(5))
def test_to_leave_out_the_pedals_that_stand_still_changes_nothing(block: int, monkeypatch: pytest.MonkeyPatch) -> None:
    def told(seed: int) -> tuple[object, ...]:
        plan = plan_pedals(course_in(marked_music(seed)), PedalSettings())
        notes = [(one.sounding and one.sounding.order, one.place and one.place.offset) for one in plan.difficulties]
        troubles = [(one.trouble, one.moment, one.steps, one.milliseconds) for one in plan.difficulties]
        return plan.settings, plan.changes, troubles, notes, plan.proven

    seeds = range(block * COUNT // 15, (block + 1) * COUNT // 15)
    pruned = [told(seed) for seed in seeds]
    monkeypatch.setattr(Course, "moving", frozenset(range(7)))
    assert [told(seed) for seed in seeds] == pruned


MARKS = ("", "", "\\laissezVibrer", '_"F♯"', '_"D♭"', "~", "\\glissando", '_\\markup \\harp-pedal "--v|^-^-"')


def marked_music(seed: int) -> str:
    """Music as :func:`random_music` has it, with pedal marks, repeats with alternatives, l.v. and a change of tempo."""
    dice = random.Random(seed)
    some = [
        f"{dice.choice(NOTES)}''{dice.choice((8, 4, 2))}" + dice.choice(MARKS) for _ in range(dice.choice((3, 6, 12)))
    ]
    upper = " ".join(some)
    if dice.random() < 0.5:
        first, second = (" ".join(dice.sample(some, 2)) for _ in range(2))
        upper = f"\\repeat volta 2 {{ {upper} }} \\alternative {{ {{ {first} }} {{ {second} }} }}"
    return staves(f"\\tempo 4 = 60 {upper} \\tempo 4 = 180 {upper}", random_lower(dice))


def random_lower(dice: random.Random) -> str:
    """A few notes or rests of the left hand."""
    return " ".join(f"{dice.choice((*NOTES, 'r'))}{dice.choice((8, 4, 2))}" for _ in range(dice.choice((1, 4, 9))))


def test_repeats_in_repeats_are_solved_fast_and_proven() -> None:
    """Every pedal idles through nested repeats with alternatives: each is solved by itself, since none hinders
    another."""
    inner = "g'4 a'"
    for _ in range(3):
        inner = f"\\repeat volta 2 {{ g'4 a' {inner} a'8 g' }} \\alternative {{ {{ g'4 a' }} {{ a'4 g' }} }}"
    plan = plan_of(f"cis''4 dis'' eis'' fis'' bis' {inner} ces''4 des'' es'' fes'' bes'")
    assert plan.proven
    assert not plan.difficulties
    assert len(plan.changes) == 5


def test_what_is_too_much_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lyfinger.pedals.solve.MOST_STATES", 1)
    assert not plan_of("c''4 d'' cis'' d'' c''").proven
