"""A hand on a harp: what it reaches, what strains it, and how much its trained distances still hold."""

from __future__ import annotations

from functools import cached_property
from itertools import combinations, starmap
from operator import gt

from .hand import PAIRS, HandProfile, Spread
from .profile import REFERENCE_SPACING, HarpProfile

_MISFIT = 150
"""Thousandths of misfit between hand and harp at which trained distances no longer count (fitted to those shifts
that :data:`.hand.HANDS` names)."""

FINGERINGS: dict[int, tuple[tuple[int, ...], ...]] = {
    size: tuple(tuple(reversed(fingers)) for fingers in combinations((1, 2, 3, 4), size)) for size in range(1, 5)
}
"""The ways to finger 1–4 strings, low to high: distinct fingers, the higher string the lower number."""


class Reach:
    """One hand on one harp. Distances are in µm between strings given by number (C4 = 28)."""

    def __init__(self, hand: HandProfile, harp: HarpProfile) -> None:
        self.hand = hand
        self.harp = harp
        self._places = harp.positions
        self._spreads: dict[tuple[int, int], Spread] = dict(zip(PAIRS, hand.spreads, strict=True))
        self._limits: dict[tuple[int, ...], tuple[int, ...]] = {}

    def spread(self, finger: int, other: int) -> Spread:
        """The limits of two different fingers, in either order."""
        return self._spreads[(finger, other) if finger < other else (other, finger)]

    def span(self, low: int, high: int) -> int:
        """Distance between two strings."""
        places = self._places
        return places[high] - places[low] if low in places and high in places else self.harp.span(low, high)

    def spans(self, strings: tuple[int, ...]) -> bool:
        """Whether thumb and ring finger together reach over all of ``strings`` (ascending)."""
        return self.span(strings[0], strings[-1]) <= self.hand.reach

    def allows(self, strings: tuple[int, ...], fingers: tuple[int, ...]) -> bool:
        """Whether every pair of these fingers reaches its strings (both low to high)."""
        return fingers in self.allowed(strings, (fingers,))

    def allowed(self, strings: tuple[int, ...], fingerings: tuple[tuple[int, ...], ...]) -> tuple[tuple[int, ...], ...]:
        """Those of some fingerings of which every pair reaches its strings (all low to high)."""
        if len(strings) == 1:
            return fingerings
        spans = tuple(starmap(self.span, combinations(strings, 2)))
        return tuple([fingers for fingers in fingerings if not any(map(gt, spans, self._limits_of(fingers)))])

    def _limits_of(self, fingers: tuple[int, ...]) -> tuple[int, ...]:
        """The greatest spread of every pair."""
        limits = self._limits.get(fingers)
        if limits is None:
            limits = tuple([self.spread(one, other).greatest for one, other in combinations(fingers, 2)])
            self._limits[fingers] = limits
        return limits

    def takes(self, strings: tuple[int, ...]) -> bool:
        """Whether any fingers reach these strings (ascending) together; no hand takes more than four."""
        return bool(self.allowed(strings, FINGERINGS.get(len(strings), ())))

    @property
    def fit(self) -> int:
        """Spacing of the harp against the size of the hand, in thousandths: 1000 is the medium hand on a pedal harp,
        more a small hand or a wide harp."""
        return self.harp.middle * 1_000_000 // (REFERENCE_SPACING * self.hand.scale)

    @cached_property
    def habit(self) -> int:
        """How far the trained distances hold for this hand on this harp, in thousandths.

        Fingers are trained on intervals, but what they have learned are the distances that they meet inside four-note
        chords (common practice, no source). The less the hand fits the harp, the less it counts.
        """
        return max(0, 1000 - abs(self.fit - 1000) * 1000 // _MISFIT)
