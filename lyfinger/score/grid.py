"""Moments as whole numbers.

Fractions are exact and slow: a comparison of two costs as much as twenty of ints. Where a whole list of moments is
sorted or searched, they are counted in a unit of which every one of them is a multiple, and stay exact.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import lcm


class Grid:
    """Counts moments and lengths (fractions of a whole note) in ``1/unit`` of a whole note.

    >>> grid = Grid([Fraction(1, 8), Fraction(1, 3)])
    >>> grid.unit, grid.at(Fraction(1, 8)), grid.at(Fraction(1, 3))
    (24, 3, 8)
    """

    __slots__ = ("_factors", "unit")

    def __init__(self, moments: Iterable[Fraction]) -> None:
        self.unit = lcm(*{moment.denominator for moment in moments})
        self._factors: dict[int, int] = {}

    def at(self, moment: Fraction) -> int:
        """A moment or a length in units; it must lie on the grid."""
        above, below = moment.as_integer_ratio()
        factor = self._factors.get(below)
        if factor is None:
            factor, rest = divmod(self.unit, below)
            assert not rest, "this moment is not on the grid"
            self._factors[below] = factor
        return above * factor

    def including(self, moments: Iterable[Fraction]) -> Grid:
        """A grid for these moments too: this one, where they lie on it."""
        unit = lcm(self.unit, *{moment.denominator for moment in moments})
        return self if unit == self.unit else Grid([Fraction(1, unit)])
