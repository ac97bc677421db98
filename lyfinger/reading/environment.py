"""What parsing carries from one statement to the next, and what it stumbles over."""

from __future__ import annotations

from collections import ChainMap
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from .syntax import Comment

QUARTER = Fraction(1, 4)


class Fault(Exception):
    """Something that the grammar allows and the language doesn't, at a global offset."""

    def __init__(self, offset: int) -> None:
        super().__init__(offset)
        self.offset = offset


@dataclass(slots=True)
class Environment:
    """What parsing carries from one statement to the next."""

    variables: ChainMap[str, Any] = field(default_factory=ChainMap)
    length: Fraction = QUARTER
    comments: list[Comment] = field(default_factory=list)
    given_up: list[tuple[int, int]] = field(default_factory=list)
    """Stretches with notes that no reading was found for (global offsets)."""
    scale: Fraction = Fraction(1)
    """The factor in ``length``."""

    def begin(self) -> Environment:
        """What one statement is parsed in: it sees all of this, and changes nothing of it until :meth:`accept`."""
        return Environment(ChainMap({}, self.variables), self.length, self.comments, scale=self.scale)

    def accept(self, statement: Environment) -> None:
        """Take over what a statement that was parsed to its end has assigned, carried on and claimed."""
        self.variables.update(statement.variables.maps[0])
        self.length, self.scale, self.comments = statement.length, statement.scale, statement.comments
