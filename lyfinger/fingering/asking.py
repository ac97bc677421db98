"""The rules of one occasion, weighted, asked together."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from .concerns import CONCERNS
from .registry import RULES, Occasion
from .settings import Settings

Asked = tuple[tuple[int, Callable[[Any], int]], ...]
"""Rules to be asked, each with its weight in thousandths."""


class Circle:
    """All rules of some occasions that have a weight."""

    def __init__(self, settings: Settings, *occasions: Occasion) -> None:
        found = [(settings.weight(rule.name), rule.assess) for rule in RULES if rule.occasion in occasions]
        self.all: Asked = tuple((weight, assess) for weight, assess in found if weight)
        self._where = [(pair, CONCERNS.get(pair[1])) for pair in self.all]

    def concerned(self, view: Any) -> Asked:
        """The rules that can count something in a view whose fingers are not settled yet."""
        return tuple([pair for pair, where in self._where if where is None or where(view)])


def said(asked: Asked, view: Any) -> int:
    """What rules together say of a view, in thousandths."""
    total = 0
    for weight, assess in asked:
        total += weight * assess(view)
    return total
