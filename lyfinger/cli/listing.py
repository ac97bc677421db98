"""JSON to be read by line: a list with each of its items on a line of its own."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping


def listed(**lists: Iterable[Mapping[str, object]]) -> str:
    """An object of lists by name.

    >>> print(listed(notes=[{"line": 1}, {"line": 2}], others=[]), end="")
    {"notes": [
    {"line": 1},
    {"line": 2}
    ],
    "others": []}
    """
    return "{" + ",\n".join(f"{json.dumps(name)}: {_list(items)}" for name, items in lists.items()) + "}\n"


def _list(items: Iterable[Mapping[str, object]]) -> str:
    lines = [json.dumps(item, ensure_ascii=False) for item in items]
    return "[\n" + ",\n".join(lines) + "\n]" if lines else "[]"
