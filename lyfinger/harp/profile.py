"""The instrument in millimetres: which strings a harp has and how far apart they stand, by register.

Source of the bounds: C. Blevins and Heartland Harps, both *String spacing* (published): top 13–14 mm, middle C
14.5–16 mm, bass 15–17 mm, never under 12.5 mm; a lever harp is usually narrower. The curves between are ours.
"""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

REFERENCE_SPACING = 15_250
"""Spacing at middle C (µm) on which the hands are calibrated: the middle of the published 14.5–16 mm."""

_MIDDLE_C = 28
_LOWEST, _HIGHEST = -7, 84  # positions are kept well past any harp, so that a note off the harp still has a place


class _Build(NamedTuple):
    name: str
    lowest: int
    highest: int
    spacing: tuple[tuple[int, int], ...]
    fixed: tuple[int, ...]
    levers: bool


class HarpProfile(_Build):
    """A harp: its lowest and highest string (string numbers, C4 = 28) and its spacing.

    ``spacing`` holds ``(string, µm)`` in ascending order: the distance from that string to the next, straight lines
    between the given strings and level beyond them. ``fixed`` are the strings without a mechanism: they sound all
    through as they were tuned. ``levers`` is True where each string has a lever of its own, and there are no pedals.

    Raises ValueError for a spacing that can't be.
    """

    def __new__(
        cls,
        name: str,
        lowest: int,
        highest: int,
        spacing: tuple[tuple[int, int], ...],
        fixed: tuple[int, ...] = (),
        levers: bool = False,
    ) -> HarpProfile:
        strings = [string for string, _ in spacing]
        if not strings or strings != sorted(set(strings)):
            raise ValueError("spacing needs at least one (string, µm), in ascending order of strings")
        if any(width <= 0 for _, width in spacing):
            raise ValueError("a spacing must be more than nothing")
        return super().__new__(cls, name, lowest, highest, spacing, fixed, levers)

    def spacing_at(self, string: int) -> int:
        """Distance from ``string`` to the next higher one, in µm.

        >>> PEDAL.spacing_at(28)
        15250
        """
        points = self.spacing
        if string <= points[0][0]:
            return points[0][1]
        for (left, low), (right, high) in pairwise(points):
            if string <= right:
                return low + (high - low) * (string - left) // (right - left)
        return points[-1][1]

    @cached_property
    def positions(self) -> dict[int, int]:
        """The place of every string along the neck in µm, counted from a string far below the lowest."""
        places, place = {}, 0
        for string in range(_LOWEST, _HIGHEST + 1):
            places[string] = place
            place += self.spacing_at(string)
        return places

    def span(self, low: int, high: int) -> int:
        """Distance between two strings, in µm.

        >>> PEDAL.span(28, 35)  # an octave on middle C: 101–112 mm (derived from the published spacing)
        104497
        """
        positions = self.positions
        if low in positions and high in positions:
            return positions[high] - positions[low]
        return (high - low) * self.spacing_at(low)

    @property
    def middle(self) -> int:
        """Spacing at middle C, in µm: how wide the harp is, in one number."""
        return self.spacing_at(_MIDDLE_C)


PEDAL = HarpProfile(
    "pedal",
    lowest=7,
    highest=53,
    spacing=((7, 16_500), (14, 16_300), (21, 15_800), (28, 15_250), (35, 14_500), (42, 13_800), (53, 13_300)),
    fixed=(7, 8),
)
"""Concert pedal harp, 47 strings C1–G7, C1 and D1 without mechanism (published: E. Volpé Bligh). The default."""

SMALL_PEDAL = HarpProfile(
    "small-pedal",
    lowest=12,
    highest=51,
    spacing=((12, 15_700), (21, 15_100), (28, 14_600), (35, 14_000), (42, 13_500), (51, 13_100)),
)
"""Small pedal harp, 40 strings A1–E7, a little narrower than the concert harp. Range and spacing from memory: take the
player's own from the configuration."""

_LEVER_SPACING = ((14, 14_800), (21, 14_200), (28, 13_600), (35, 13_200), (49, 12_600))


def _lever(strings: int, lowest: int, highest: int) -> HarpProfile:
    return HarpProfile(f"lever-{strings}", lowest, highest, _LEVER_SPACING, levers=True)


HARPS: dict[str, HarpProfile] = {
    harp.name: harp
    for harp in (
        PEDAL,
        SMALL_PEDAL,
        _lever(22, 28, 49),
        _lever(26, 21, 46),
        _lever(27, 21, 47),
        _lever(34, 14, 47),
        _lever(36, 14, 49),
        _lever(38, 14, 51),
        _lever(40, 12, 51),
    )
}
"""Harps by name. Range of the 34-string lever harp: published (D. Perrett); of the other lever harps: from memory."""
