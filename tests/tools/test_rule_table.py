"""README.md's rule table is what the docstrings and the tables of weights make of it."""

from __future__ import annotations

import pytest

from lyfinger.fingering.weights import WEIGHTS
from tests.tools.rule_table import BEGIN, END, README, with_table


def test_readme_is_in_step_with_the_rules() -> None:
    text = README.read_bytes().decode("utf-8")
    assert with_table(text) == text, "run: python -m tests.tools.rule_table"


def test_the_table_has_every_rule_of_the_search_once() -> None:
    made = with_table(f"{BEGIN}what stood here{END}")
    assert "what stood here" not in made
    assert all(made.count(f"| `{name}` |") == 1 for name in WEIGHTS)


@pytest.mark.parametrize("text", ["", BEGIN, f"{END}{BEGIN}", f"{BEGIN}{END}{BEGIN}{END}"])
def test_markers_have_to_be_there_once_each(text: str) -> None:
    with pytest.raises(ValueError, match="once each"):
        with_table(text)
