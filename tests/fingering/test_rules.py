"""The rules as a set: names, documentation, weights; and that a rule weighed more is broken no more."""

from __future__ import annotations

import re
from random import Random

import pytest

from lyfinger.fingering.registry import RULES, Occasion
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.fingering.weights import WEIGHTS
from lyfinger.harp.hand import MEDIUM
from tests.fingering.music import explain_costs, passage
from tests.fingering.random_music import random_passage

HEADINGS = ["Applies when:", "Cost:", "Interacts with:", "Source:"]


def test_each_rule_has_one_name_one_weight_and_an_occasion() -> None:
    names = [rule.name for rule in RULES]
    assert len(set(names)) == len(names)
    assert set(names) == set(WEIGHTS)
    assert {rule.occasion for rule in RULES} == set(Occasion)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_each_rule_is_documented_under_the_same_headings(rule: object) -> None:
    doc = next(r.doc for r in RULES if r is rule)
    places = [doc.find(heading) for heading in HEADINGS]
    assert -1 not in places
    assert places == sorted(places)
    assert re.search(r"\[[PTM]\]", doc[places[-1] :]), "the source says its status"


@pytest.mark.parametrize("rule", sorted(WEIGHTS))
def test_a_raised_weight_never_raises_its_own_rules_count(rule: str) -> None:
    rng = Random(f"weights {rule}")
    for _ in range(4):
        music = random_passage(rng, 25)
        counts = []
        for weight in (0, WEIGHTS[rule] // 2, WEIGHTS[rule], max(WEIGHTS[rule], 100) * 4):
            settings = Settings(weights=((rule, weight),))
            answer = place(music, MEDIUM, settings)
            counts.append(explain_costs(music, answer, MEDIUM, settings).units().get(rule, 0))
        assert counts == sorted(counts, reverse=True)


def test_four_strings_are_counted_where_they_are_played_in_turn() -> None:
    """The failing and the passing case of four-string-placing: a run of four, a chord of four, a run of three."""
    for notes, count in (("C4 D4 E4 F4", 1), ("C4-E4 G4 C5", 1), ("C4-E4-G4-C5", 0), ("C4 D4 E4", 0)):
        music = passage(notes, 150)
        assert explain_costs(music, place(music, MEDIUM), MEDIUM).units().get("four-string-placing", 0) == count


@pytest.mark.parametrize("rule", ["slide", "slide-up"])
def test_each_slide_has_a_rule_of_its_own(rule: str) -> None:
    """[P] E. Volpé Bligh: of the thumb to the lower string, of another finger to the higher one."""
    for notes, slides in (("G4 F4 E4 D4 C4", "slide"), ("C4 D4 E4 F4 G4", "slide-up")):
        music = passage(notes, 120)
        counts = explain_costs(music, place(music, MEDIUM), MEDIUM).units()
        assert bool(counts.get(rule)) == (rule == slides)
    other = {"slide": "G4 F4 E4 D4 C4", "slide-up": "C4 D4 E4 F4 G4"}[rule]
    music = passage(other, 120)
    dear = Settings(weights=((rule, 1000),))
    assert place(music, MEDIUM, dear).fingers != place(music, MEDIUM).fingers


@pytest.mark.parametrize("rule", sorted(WEIGHTS))
def test_every_rule_counts_in_some_music(rule: str) -> None:
    """A rule that never counted anything would be dead."""
    rng = Random("alive")
    settings = Settings(weights=((rule, 0),))
    for _ in range(60):
        music = random_passage(rng, 25)
        if explain_costs(music, place(music, MEDIUM, settings), MEDIUM, settings).units().get(rule):
            return
    pytest.fail(f"{rule} never counted")


def test_costs_fall_apart_into_rules() -> None:
    music = passage("C4 D4 E4 F4 G4 A4 B4 C5", 150)
    answer = place(music, MEDIUM)
    ledger = explain_costs(music, answer, MEDIUM)
    assert sum(ledger.by_rule().values()) == ledger.total == answer.cost
    assert ledger.by_rule() == {"beat-group": 180, "placing": 564, "cross-under": 300}
    assert [item.onsets for item in ledger.items if item.rule == "cross-under"] == [(3, 4)]


def test_settings_refuse_nonsense() -> None:
    for bad in ({"fast": 500}, {"sight": 0}, {"weights": (("no-such-rule", 1),)}, {"weights": (("hop", -1),)}):
        with pytest.raises(ValueError, match=r"fast|onset|rule|weight"):
            Settings(**bad)
