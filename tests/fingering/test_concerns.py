"""What is said of where a rule can count, held to the rules: where it is passed over it counts nothing, with any
fingers. The rules themselves are the measure; the views are random, from a seed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from random import Random
from typing import Any

import pytest

from lyfinger.fingering.concerns import CONCERNS
from lyfinger.fingering.registry import RULES, Occasion, Rule
from lyfinger.fingering.settings import Settings
from lyfinger.fingering.views import Change, Move, Shape, Strike, form_of, heard
from lyfinger.harp.hand import LARGE, MEDIUM, SMALL
from lyfinger.harp.reach import FINGERINGS, Reach
from tests.fingering.music import onset
from tests.fingering.random_music import decorated, random_strings, sometimes_kept

COUNT = 1500
PASSED_OVER = [rule for rule in RULES if rule.assess in CONCERNS]


def _reach(rng: Random) -> Reach:
    return Reach(rng.choice((SMALL, MEDIUM, LARGE)), Settings().harp)


def _shapes(rng: Random) -> Iterator[Shape]:
    strings, reach = random_strings(rng), _reach(rng)
    for fingers in ((), *FINGERINGS[len(strings)]):
        yield Shape(strings, fingers, reach)


def _strikes(rng: Random) -> Iterator[Strike]:
    struck = sometimes_kept(rng, (decorated(rng, onset(random_strings(rng), 0)),), 0.3)[0]
    glide = rng.choice((0, 0, 1, -1))
    shape, first, reach = rng.randint(len(struck.strings), 4), rng.random() < 0.5, _reach(rng)
    for fingers in ((), *FINGERINGS[len(struck.strings)]):
        yield Strike(heard(struck), fingers, shape, first, glide, reach)


def _moves(rng: Random) -> Iterator[Move]:
    old = random_strings(rng)
    new = old if rng.random() < 0.1 else random_strings(rng, old[0] - 3, old[0] + 8)
    before, after = (tuple(string - old[0] for string in strings) for strings in (old, new))
    rest = (rng.randrange(0, 1001, 50), rng.random() < 0.2, rng.random() < 0.2)
    yield Move(before, (), after, (), *rest)
    for held in FINGERINGS[len(before)]:
        for fingers in FINGERINGS[len(after)]:
            yield Move(before, held, after, fingers, *rest)


def _changes(rng: Random) -> Iterator[Change]:
    """All forms that two placings can have; their distances are the same in each, and the first stands for all."""
    old, new = random_strings(rng), random_strings(rng)
    haste = rng.randrange(0, 1001, 50)
    changes = [
        Change(form_of(old, held), form_of(new, fingers), haste)
        for held in FINGERINGS[len(old)]
        for fingers in FINGERINGS[len(new)]
    ]
    yield from (changes[0], *changes)


VIEWS: dict[Occasion, Callable[[Random], Iterator[Any]]] = {
    Occasion.SHAPE: _shapes,
    Occasion.STRIKE: _strikes,
    Occasion.REPEAT: _moves,
    Occasion.INSIDE: _moves,
    Occasion.SHIFT: _moves,
    Occasion.CHANGE: _changes,
}


@pytest.mark.parametrize("rule", PASSED_OVER, ids=lambda rule: rule.name)
def test_a_rule_that_is_passed_over_counts_nothing(rule: Rule) -> None:
    rng = Random(f"concerns {rule.name}")
    concerned = Counter[bool]()
    for _ in range(COUNT):
        unfingered, *views = VIEWS[rule.occasion](rng)
        where = CONCERNS[rule.assess]
        asked = where(unfingered)
        concerned[asked] += 1
        assert all(where(view) == asked for view in views)
        if not asked:
            assert not any(rule.assess(view) for view in views)
    assert concerned[True]
    assert concerned[False]


def test_only_rules_stand_there() -> None:
    assert len(PASSED_OVER) == len(CONCERNS)
