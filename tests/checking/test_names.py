"""Everything that a check can say has a name that it can be picked by."""

from __future__ import annotations

import ast
from pathlib import Path

from lyfinger.checking.names import OTHERS, known_names
from lyfinger.checking.registry import RULES
from lyfinger.fingering.problems import PROBLEMS

PACKAGE = Path(__file__).parent.parent.parent / "lyfinger"
#: Said by mark and clear alone.
NOT_CHECKED = {"engraving", "kept-digit", "missing-picture", "not-cleared", "stretches"}


def _names_given() -> set[str]:
    """The constant names of rules in every call that makes a message, and in every constant that stands for one."""
    found: set[str] = set()
    for path in PACKAGE.rglob("*.py"):
        tree = ast.parse(path.read_bytes())
        constants = {
            target.id: node.value.value
            for node in ast.walk(tree)
            if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant)
            for target in node.targets
            if isinstance(target, ast.Name)
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "id", getattr(node.func, "attr", "")) == "Message":
                given = [*node.args[3:4], *(word.value for word in node.keywords if word.arg == "rule")]
                values = [constants.get(one.id) if isinstance(one, ast.Name) else one for one in given]
                plain = [one.value if isinstance(one, ast.Constant) else one for one in values]
                found |= {one for one in plain if isinstance(one, str)}
    return found


def test_whatever_is_said_has_a_known_name() -> None:
    given = _names_given()
    assert {"no-hand", "passage-not-followed", "unknown-rule"} <= given
    assert given | set(PROBLEMS) <= set(known_names()) | NOT_CHECKED


def test_every_other_name_is_said_somewhere() -> None:
    assert set(OTHERS) <= _names_given() | set(PROBLEMS)


def test_names_are_unique_and_described() -> None:
    names = known_names()
    assert len(set(names)) == len(names) == len(RULES) + len(OTHERS)
    assert all(text.endswith(".") for text in OTHERS.values())
