"""What parsing carries from one statement to the next, and what it stumbles over."""

from __future__ import annotations

from collections import ChainMap
from fractions import Fraction
from typing import Any

from .syntax import Comment

QUARTER = Fraction(1, 4)


class Fault(Exception):
    """Something that the grammar allows and the language doesn't, at a global offset."""

    def __init__(self, offset: int) -> None:
        super().__init__(offset)
        self.offset = offset


class Environment:
    """What parsing carries from one statement to the next.

    ``given_up`` are stretches with notes that no reading was found for (global offsets).
    """

    __slots__ = ("comments", "given_up", "length", "scale", "variables")

    def __init__(
        self,
        variables: ChainMap[str, Any] | None = None,
        length: Fraction = QUARTER,
        comments: list[Comment] | None = None,
        scale: Fraction = Fraction(1),
    ) -> None:
        self.variables: ChainMap[str, Any] = ChainMap() if variables is None else variables
        self.length = length
        self.comments: list[Comment] = [] if comments is None else comments
        self.given_up: list[tuple[int, int]] = []
        self.scale = scale

    """The factor in ``length``."""

    def begin(self) -> Environment:
        """What one statement is parsed in: it sees all of this, and changes nothing of it until :meth:`accept`."""
        return Environment(ChainMap({}, self.variables), self.length, self.comments, scale=self.scale)

    def accept(self, statement: Environment) -> None:
        """Take over what a statement that was parsed to its end has assigned, carried on and claimed."""
        self.variables.update(statement.variables.maps[0])
        self.length, self.scale, self.comments = statement.length, statement.scale, statement.comments
