"""Where a part tires a hand: how far the hands open in each bar, drawn as a strip along the piece.

A bar is a column: the right hand's part of it stands on a line, the left hand's hangs from it. The columns wrap like
lines of music, so that a long piece can be taken in on a phone and on paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from .figures import Figure, Pair

_WIDTH, _HEIGHT, _GAP = 24, 32, 3
"""Size of a hand's column in px, its height being the whole reach, and what is left free on either side of it. A finger
needs 24 by 24 px (published: WCAG 2.2, success criterion 2.5.8)."""

HARD = 90
"""Percent of the reach from which on a bar is marked. From memory: near the limit a hand tires soon."""

_LISTED = 8
"""How many of the hardest bars are listed in words."""

_HANDS = ("right", "left")


@dataclass(frozen=True, slots=True)
class BarReach:
    """The widest pair of a hand in a bar (printed number), and the figure (index) that it is in."""

    bar: int
    hand: str
    pair: Pair
    figure: int

    @property
    def words(self) -> str:
        """``bar 12, left hand: a tenth with 4 and 1: 141 of 150 mm, 94 percent of the reach``."""
        return f"bar {self.bar}, {self.hand} hand: {self.pair.words}, {self.pair.percent} percent of the reach"


@dataclass(frozen=True, slots=True)
class Strip:
    """The bars of one harpist in one score, each hand by the bar's number."""

    title: str
    bars: Mapping[str, Mapping[int, BarReach]]

    @property
    def hardest(self) -> list[BarReach]:
        """The bars that ask for most, hardest first; none below :data:`HARD`."""
        every = (one for bars in self.bars.values() for one in bars.values() if one.pair.percent >= HARD)
        return sorted(every, key=lambda one: (-one.pair.percent, one.bar, one.hand))


def strips(figures: Sequence[Figure], harpists: Mapping[tuple[int, int], str]) -> list[Strip]:
    """A strip for each harpist of each score that has bars.

    ``harpists`` are the names of those who are not alone, by the score's and the player's number.
    """
    several = len({figure.score for figure in figures}) > 1
    found: dict[tuple[int, int], dict[str, dict[int, BarReach]]] = {}
    for index, figure in enumerate(figures):
        pair = figure.hardest
        if figure.bar is None or pair is None:
            continue
        bars = found.setdefault((figure.score, figure.player), {hand: {} for hand in _HANDS})[figure.hand]
        known = bars.get(figure.bar)
        if known is None or pair.apart * known.pair.greatest > known.pair.apart * pair.greatest:
            bars[figure.bar] = BarReach(figure.bar, figure.hand, pair, index)
    return [
        Strip(", ".join([*([f"Score {whose[0] + 1}"] if several else []), *_named(harpists.get(whose))]), bars)
        for whose, bars in sorted(found.items())
    ]


def _named(harpist: str | None) -> list[str]:
    return [harpist] if harpist else []


def drawn(strip: Strip) -> str:
    """The strip as HTML, and the hardest bars as a list."""
    return "".join(_drawn(strip))


def _drawn(strip: Strip) -> Iterator[str]:
    numbers = [bar for bars in strip.bars.values() for bar in bars]
    first, last = min(numbers), max(numbers)
    if strip.title:
        yield f"<h3>{escape(strip.title)}</h3>\n"
    title = f", {strip.title}" if strip.title else ""
    yield f'<div class="strip" role="group" aria-label="{escape(f"Reach used, bars {first} to {last}{title}")}">'
    for bar in range(first, last + 1):
        number = str(bar) if bar == first or bar % 5 == 0 else ""
        columns = "".join(_column(strip.bars[hand].get(bar), hand) for hand in _HANDS)
        yield f'<span class="bars">{columns}<span class="tally" aria-hidden="true">{number}</span></span>'
    yield "</div>\n"
    yield from _list(strip.hardest, alone=not strip.title)


def _column(one: BarReach | None, hand: str) -> str:
    if one is None:
        return f'<span class="bar {hand}"></span>'
    height = max(_HEIGHT * min(one.pair.percent, 100) // 100, 1)
    y = _HEIGHT - height if hand == _HANDS[0] else 0
    hard = " hard" if one.pair.percent >= HARD else ""
    return (
        f'<button type="button" class="bar {hand}{hard}" data-figure="{one.figure}" aria-label="{escape(one.words)}">'
        f'<svg viewBox="0 0 {_WIDTH} {_HEIGHT}" aria-hidden="true">'
        f'<rect x="{_GAP}" y="{y}" width="{_WIDTH - 2 * _GAP}" height="{height}"/></svg></button>'
    )


def _list(hardest: Sequence[BarReach], *, alone: bool) -> Iterator[str]:
    if not hardest and alone:
        yield f"<p>No bar asks for {HARD} percent of the reach.</p>\n"
    if not hardest:
        return
    yield "<ol>\n"
    for one in hardest[:_LISTED]:
        words = one.words[0].upper() + one.words[1:]
        yield f'<li><button type="button" class="link" data-figure="{one.figure}">{escape(words)}</button></li>\n'
    yield "</ol>\n"
    if len(hardest) > _LISTED:
        more = len(hardest) - _LISTED
        yield f"<p>{more} more {'bar asks' if more == 1 else 'bars ask'} for {HARD} percent and more.</p>\n"
