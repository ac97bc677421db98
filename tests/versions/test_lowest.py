"""What the oldest allowed libraries are is read off ``pyproject.toml``."""

from __future__ import annotations

import tomllib

import pytest
from packaging.requirements import Requirement

from .lowest import PROJECT, USERS_EXTRAS, constraints, lowest


def test_each_is_the_oldest_that_its_bound_allows() -> None:
    """``packaging``, by which pip reads bounds too, has the word on what a bound allows."""
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text("utf-8"))["project"]
    lines = project["dependencies"] + [line for name in USERS_EXTRAS for line in project["optional-dependencies"][name]]
    allowed = {one.name: one.specifier for one in map(Requirement, lines)}
    pinned = {one.name: one.specifier for one in map(Requirement, constraints().splitlines())}
    assert pinned.keys() == allowed.keys() >= {"lark", "python-ly", "pygls"}
    for name, specifier in pinned.items():
        (version,) = [item.version for item in specifier]
        assert version in allowed[name]
        assert [item.version for item in allowed[name] if item.operator == ">="] == [version]


def test_a_dependency_without_a_lower_bound_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="no lower bound"):
        list(lowest({"project": {"dependencies": ["lark<2"], "optional-dependencies": {}}}))
