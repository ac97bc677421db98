"""What a player can set about the search; every default is stated here."""

from __future__ import annotations

from typing import NamedTuple

from ..harp.profile import PEDAL, HarpProfile
from .weights import WEIGHTS

_HASTE_STEP = 50


class _Values(NamedTuple):
    harp: HarpProfile
    lift_gap: int
    fast: int
    slow: int
    sight: int
    coupling_limit: int
    weights: tuple[tuple[str, int], ...]


class Settings(_Values):
    """Settings of the search. None of the times is a published fact: they are defaults of ours.

    ``lift_gap``: from this many milliseconds between two onsets on, the hand may lift freely (default 1500: a half
    note at ♩ = 80). A harpist lifts at a *long* note, and how long is a matter of seconds: a half note at a slow tempo
    is one, a quarter note hardly ever.
    ``fast``, ``slow``: milliseconds between two onsets at and under which a figure is fast (default 120: more than
    8 strings a second), and at and over which it is not fast at all (default 400); straight between.
    ``sight``: a placing's strings are all struck within this many onsets of its start (default 8): what a player sets
    at once. Once struck, a shape may go on for as long as the music stays in it.
    ``coupling_limit``: how many onsets the search may work through for one group of passages that share notes
    before it settles for the best found (default 60 000, about two seconds).
    ``weights``: ``(rule, thousandths for a unit)`` where they differ from the table; 0 turns a rule off.

    Raises ValueError for values that make no sense.
    """

    __slots__ = ()

    def __new__(
        cls,
        harp: HarpProfile = PEDAL,
        lift_gap: int = 1500,
        fast: int = 120,
        slow: int = 400,
        sight: int = 8,
        coupling_limit: int = 60_000,
        weights: tuple[tuple[str, int], ...] = (),
    ) -> Settings:
        if not 0 <= fast < slow:
            raise ValueError("fast must be less time than slow")
        if sight < 1:
            raise ValueError("a placing needs at least one onset")
        for rule, weight in weights:
            if rule not in WEIGHTS:
                raise ValueError(f"no rule is called {rule}")
            if weight < 0:
                raise ValueError(f"the weight of {rule} is below nothing")
        return super().__new__(cls, harp, lift_gap, fast, slow, sight, coupling_limit, weights)

    def weight(self, rule: str) -> int:
        """The weight of a rule, in thousandths for a unit."""
        return dict(self.weights).get(rule, WEIGHTS[rule])

    def haste(self, gap: int) -> int:
        """How little time ``gap`` milliseconds leave: 0 (slow) to 1000 (fast), in steps of 50.

        >>> Settings().haste(400), Settings().haste(260), Settings().haste(100)
        (0, 500, 1000)
        """
        left = min(max(self.slow - gap, 0), self.slow - self.fast)
        return (left * 1000 // (self.slow - self.fast) + _HASTE_STEP // 2) // _HASTE_STEP * _HASTE_STEP
