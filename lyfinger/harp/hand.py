"""The player's hand: for each pair of fingers a cramped, an easy and a greatest spread, in µm.

The published measurements (Chatzıoğlou et al., *Anat Cell Biol* 2024;57:172: widest spread 1–2 53°, 2–3 17°,
3–4 14°) give ratios only: the thumb opens about three times as far as two fingers against each other. The
numbers here are **calibrated**, for the medium hand in the middle register (C4–C5) of the concert pedal harp, with
a look at the other registers; no one publishes them. Fitted to these rows of the trade's tables
(``tests/fingering/trade_tables.py`` has them with their sources):

======  ==========================================================================================
1–2     easy 47 mm: a 4th (45 mm) costs nothing, a 5th little; greatest: an octave
1–3     cramped under 60 mm, easy to 80 mm: a 5th and a 6th cost nothing; costs as much as 1–2 at 53 mm,
        between the small hand's 4th and the large hand's 5th, both measured on a medium hand
1–4     cramped under 92 mm, easy to 125 mm: the octave; costs as much as 1–3 at 86 mm, between the 6th
        of the medium hand and that of the small one; greatest 150 mm: the tenth is in reach everywhere
2–3     easy 40 mm: a 3rd costs nothing, a 4th (second inversion, 3 2 1) little, a 5th much
2–4     cramped under 48 mm, easy to 75 mm: 4 2 1 with a 4th or 5th under the middle note
3–4     easy 32 mm: a 3rd costs nothing, a 4th is a strain
======  ==========================================================================================

A digit is a suggestion. Stop when it hurts; ask a teacher or a clinician.
"""

from __future__ import annotations

from typing import NamedTuple

PAIRS = ((1, 2), (1, 3), (1, 4), (2, 3), (2, 4), (3, 4))
"""The finger pairs, thumb first, in the order in which a profile lists its spreads."""


class Spread(NamedTuple):
    """How a pair of fingers opens, in µm: under ``cramped`` they crowd, over ``easy`` they stretch,
    over ``greatest`` they do not reach."""

    cramped: int
    easy: int
    greatest: int

    def scaled(self, scale: int) -> Spread:
        """The same pair on a hand of ``scale`` thousandths of this one."""
        return Spread(*((size * scale + 500) // 1000 for size in (self.cramped, self.easy, self.greatest)))

    def reaching(self, greatest: int) -> Spread:
        """The same pair on a hand on which it reaches just ``greatest`` µm, all in proportion."""
        sizes = (self.cramped, self.easy, self.greatest)
        return Spread(*((size * greatest + self.greatest // 2) // self.greatest for size in sizes))


_MEDIUM = (
    Spread(0, 47_000, 125_000),
    Spread(60_000, 80_000, 140_000),
    Spread(92_000, 125_000, 150_000),
    Spread(0, 40_000, 78_000),
    Spread(48_000, 75_000, 135_000),
    Spread(0, 32_000, 70_000),
)


class _Measures(NamedTuple):
    name: str
    scale: int
    spreads: tuple[Spread, ...]


class HandProfile(_Measures):
    """A hand by name, its size against the medium hand in thousandths, and its spreads in the order of PAIRS.

    Raises ValueError for what is no hand.
    """

    __slots__ = ()

    def __new__(cls, name: str, scale: int, spreads: tuple[Spread, ...]) -> HandProfile:
        if len(spreads) != len(PAIRS) or scale <= 0:
            raise ValueError("a hand needs a size above nothing and one spread for each pair of fingers")
        return super().__new__(cls, name, scale, spreads)

    @property
    def reach(self) -> int:
        """The widest span of thumb and ring finger, in µm. It belongs to the player [T]."""
        return self.spreads[PAIRS.index((1, 4))].greatest

    def with_spread(self, pair: tuple[int, int], spread: Spread) -> HandProfile:
        """The same hand with one pair measured anew."""
        place = PAIRS.index(pair)
        return self._replace(spreads=(*self.spreads[:place], spread, *self.spreads[place + 1 :]))


def hand_of_scale(name: str, scale: int) -> HandProfile:
    """A hand of ``scale`` thousandths of the medium one."""
    return HandProfile(name, scale, tuple(spread.scaled(scale) for spread in _MEDIUM))


def hand_of_reach(name: str, reach: int) -> HandProfile:
    """A hand from its measured thumb-to-ring span in µm, every pair in proportion.

    >>> hand_of_reach("mine", 150_000) == hand_of_scale("mine", 1000)
    True
    """
    return hand_of_scale(name, (reach * 1000 + _MEDIUM[2].greatest // 2) // _MEDIUM[2].greatest)


SMALL = hand_of_scale("small", 840)
MEDIUM = hand_of_scale("medium", 1000)
LARGE = hand_of_scale("large", 1200)

HANDS: dict[str, HandProfile] = {hand.name: hand for hand in (SMALL, MEDIUM, LARGE)}
"""The three sizes. The factors are fitted to what shifts with the hand, common practice without a source (small: a 4th
3–1, a 6th 4–1; large: a 5th 2–1, and on a narrow harp a 6th 2–1 and an octave 3–1)."""
