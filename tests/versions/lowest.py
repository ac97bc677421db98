"""The lowest versions that ``pyproject.toml`` allows of what lyfinger itself imports."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

PROJECT = Path(__file__).resolve().parents[2]
USERS_EXTRAS = ("editor", "completion")
"""What a user installs; the extras of developers are taken at their newest."""

_BOUNDED = re.compile(r"([\w.-]+)>=([\w.]+)(?:,<[\w.]+)?")


def lowest(pyproject: Mapping[str, Any]) -> Iterator[str]:
    """``name==version`` for each dependency, at its lower bound. Raises ValueError for one that has none.

    >>> list(lowest({"project": {"dependencies": ["lark>=1.2.1,<2"], "optional-dependencies": {}}}))
    ['lark==1.2.1']
    """
    project = pyproject["project"]
    extras = project["optional-dependencies"]
    for requirement in [*project["dependencies"], *(item for name in USERS_EXTRAS for item in extras.get(name, ()))]:
        bounded = _BOUNDED.fullmatch(requirement)
        if bounded is None:
            raise ValueError(f"pyproject.toml: {requirement} has no lower bound")
        yield f"{bounded[1]}=={bounded[2]}"


def constraints() -> str:
    """The text of a constraints file for pip."""
    return "\n".join(lowest(tomllib.loads((PROJECT / "pyproject.toml").read_text("utf-8")))) + "\n"
