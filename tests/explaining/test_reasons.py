"""Reasons for the samples' figures: what they sum to, and what is said where the answer is not proven."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from lyfinger.cli.options import build_parser
from lyfinger.cli.session import open_sessions
from lyfinger.explaining.as_json import as_json
from lyfinger.explaining.as_text import as_text
from lyfinger.explaining.phrases import Phrases
from lyfinger.explaining.places import Stretch, in_bars
from lyfinger.explaining.reasons import explained
from lyfinger.fingering.settings import Settings
from lyfinger.marking.player import player_of
from tests.whole.command import ENSEMBLE, SAMPLES, TEACHING


def stretches(name: str, first: int, last: int) -> list[Stretch]:
    options = build_parser().parse_args(["explain", str(SAMPLES / name), "--bars", f"{first}-{last}"])
    (session,) = open_sessions(options, [options.file])
    phrases = Phrases(session.plan, player_of(session.config))
    found = in_bars(session.plan, phrases, session.plan.roots[0], first, last)
    return [one for one in found if isinstance(one, Stretch)]


@pytest.mark.parametrize("name", [*ENSEMBLE, *TEACHING])
def test_the_phrases_costs_sum_to_the_answers(name: str) -> None:
    """Every group's costs, once each, are what the search says the passages cost that were solved together."""
    answers = {}
    groups: dict[int, dict[tuple[int, ...], int]] = {}
    for stretch in stretches(name, 0, 10_000):
        phrase = stretch.phrase
        answers[id(phrase.answers)] = phrase.answers.placed
        best = phrase.answers.best(phrase.group)
        assert best.fingers == phrase.answers.placed.fingers
        groups.setdefault(id(phrase.answers), {})[tuple(c.first for c in phrase.group.chains)] = best.cost
    assert {key: sum(costs.values()) for key, costs in groups.items()} == {key: a.cost for key, a in answers.items()}


def test_every_cost_of_a_phrase_is_given_to_one_placing() -> None:
    whole = [one for one in stretches("Parts/lantern-walk.ly", 1, 28) if one.onsets == one.phrase.chain.onsets]
    assert len(whole) > 5
    for one in map(explained, whole):
        items = [item for placing in one.placings for item in placing.items]
        assert sum(item.cost for item in items) == one.best.cost
        assert all(placing.whole for placing in one.placings)


def test_an_answer_that_is_not_proven_says_so() -> None:
    one = explained(stretches("Parts/lantern-walk.ly", 1, 1)[0])
    assert "proven the least" in as_text([one])
    assert one.others
    others = tuple(replace(other, choice=replace(other.choice, proven=False)) for other in one.others)
    open_one = replace(one, best=replace(one.best, proven=False), bound=one.best.cost - 7, others=others)
    text = as_text([open_one])
    assert f"the best that was found: no less than {one.best.cost - 7} is proven" in text
    assert " ".join(text.split()).count("not proven to be the next") == len(others)
    figure = json.loads(as_json([open_one], Settings()))["figures"][0]
    assert figure["phrase"]["bound"] == figure["phrase"]["cost"] - 7
    assert not any(other["proven"] for other in figure["next_best"])


def test_too_much_music_at_once_is_not_searched() -> None:
    one = explained(stretches("Parts/lantern-walk.ly", 1, 1)[0], 3)
    assert one.others is None
    assert "ask for fewer bars" in as_text([one])
    assert json.loads(as_json([one], Settings()))["figures"][0]["next_best"] is None
