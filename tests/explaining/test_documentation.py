"""Docstrings taken apart: every rule says what it should, under the headings of its kind."""

from __future__ import annotations

import re

import pytest

from lyfinger.checking.registry import RULES as CHECKS
from lyfinger.explaining.documentation import HEADINGS, Documented, documentation, documented
from lyfinger.fingering.registry import RULES

EVERY = list(documented())


def test_every_rule_is_there_once() -> None:
    assert [rule.name for rule in EVERY] == [*(rule.name for rule in RULES), *(rule.name for rule in CHECKS)]
    assert len({rule.name for rule in EVERY}) == len(EVERY)


@pytest.mark.parametrize("rule", EVERY, ids=lambda rule: rule.name)
def test_nothing_of_a_docstring_is_lost(rule: Documented) -> None:
    docs = {one.name: one.doc for one in RULES} | {check.name: check.doc for check in CHECKS}
    parts = [rule.documentation.summary]
    for heading, text in rule.documentation.sections.items():
        parts += [f"{heading}:", text]
    assert " ".join(parts).split() == docs[rule.name].split()
    assert rule.documentation.summary.endswith(".")


@pytest.mark.parametrize("rule", EVERY, ids=lambda rule: rule.name)
def test_the_headings_are_those_of_its_kind(rule: Documented) -> None:
    wanted = (
        ["Applies when", "Cost", "Interacts with", "Source"] if rule.weighed else ["Applies when", "Says", "Source"]
    )
    assert list(rule.documentation.sections) == wanted
    assert set(wanted) <= set(HEADINGS)
    if rule.weighed:
        assert re.search(r"\[[PTM]\]", rule.documentation.source)


def test_a_word_before_a_colon_is_no_heading() -> None:
    found = documentation("A rule.\n\nApplies when: one of: a, b.\nNote: this stays.\nSource: [T].")
    assert found.sections == {"Applies when": "one of: a, b. Note: this stays.", "Source": "[T]."}
    assert documentation("").sections == {}
