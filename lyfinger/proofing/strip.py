"""The strip along a piece: how much of its reach a hand uses in each bar."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape

from .figures import Figure, Pair

_HEIGHT, _TOP = 60, 100
"""Height of a strip in px, and the percentage at its top line."""


@dataclass(frozen=True, slots=True)
class BarReach:
    """The widest pair of a bar (printed number), and the figure (index) that it is in."""

    bar: int
    pair: Pair
    figure: int


@dataclass(frozen=True, slots=True)
class Strip:
    """One hand's bars."""

    title: str
    first: int
    last: int
    bars: tuple[BarReach, ...]


def strips(figures: Sequence[Figure]) -> list[Strip]:
    """A strip for each hand of each score that has bars."""
    several = len({figure.score for figure in figures}) > 1
    found: dict[tuple[int, str], dict[int, BarReach]] = {}
    for index, figure in enumerate(figures):
        pair = figure.hardest
        if figure.bar is None or pair is None:
            continue
        bars = found.setdefault((figure.score, figure.hand), {})
        known = bars.get(figure.bar)
        if known is None or pair.apart * known.pair.greatest > known.pair.apart * pair.greatest:
            bars[figure.bar] = BarReach(figure.bar, pair, index)
    ordered = sorted(found.items(), key=lambda item: (item[0][0], item[0][1] == "left"))
    return [_strip(score, hand, several, found, bars.values()) for (score, hand), bars in ordered]


def _strip(
    score: int, hand: str, several: bool, found: dict[tuple[int, str], dict[int, BarReach]], bars: Iterable[BarReach]
) -> Strip:
    numbers = [bar for (other, _), own in found.items() if other == score for bar in own]
    title = f"{hand.capitalize()} hand" + (f", score {score + 1}" if several else "")
    return Strip(title, min(numbers), max(numbers), tuple(sorted(bars, key=lambda one: one.bar)))


def drawn(strip: Strip) -> str:
    """The strip as SVG: a column for each bar, hatched from nine tenths of the reach on."""
    return "".join(_drawn(strip))


def _drawn(strip: Strip) -> Iterator[str]:
    count = strip.last - strip.first + 1
    width = 12 * count
    label = escape(f"{strip.title}: reach used, bars {strip.first} to {strip.last}")
    yield f'<div class="strip"><svg viewBox="-36 -6 {width + 40} {_HEIGHT + 26}" width="{width + 40}" '
    yield f'height="{_HEIGHT + 26}" role="group" aria-label="{label}">'
    yield f'<path class="limit" d="M0 0h{width}"/><path class="limit low" d="M0 {_HEIGHT // 2}h{width}"/>'
    yield f'<path class="ground" d="M0 {_HEIGHT}h{width}"/>'
    yield '<text x="-4" y="4" text-anchor="end">100%</text>'
    yield f'<text x="-4" y="{_HEIGHT // 2 + 4}" text-anchor="end">50</text>'
    for one in strip.bars:
        yield _column(strip, one)
    for bar in range(strip.first, strip.last + 1):
        if bar == strip.first or bar % 5 == 0:
            yield f'<text x="{12 * (bar - strip.first) + 6}" y="{_HEIGHT + 14}" text-anchor="middle">{bar}</text>'
    yield "</svg></div>"


def _column(strip: Strip, one: BarReach) -> str:
    percent = min(one.pair.percent, _TOP)
    height = max(_HEIGHT * percent // _TOP, 1)
    x = 12 * (one.bar - strip.first)
    hard = " hard" if one.pair.percent >= 90 else ""
    label = escape(f"bar {one.bar}: {one.pair.words}, {one.pair.percent} percent of the reach")
    cap = f'<path d="M{x + 1} {_HEIGHT - height + 4}l10 -4M{x + 1} {_HEIGHT - height + 9}l10 -4"/>' if hard else ""
    return (
        f'<g class="bar{hard}" role="button" tabindex="-1" data-figure="{one.figure}" aria-label="{label}">'
        f"<title>{label}</title>"
        f'<rect class="touch" x="{x}" y="0" width="12" height="{_HEIGHT}"/>'
        f'<rect x="{x + 1}" y="{_HEIGHT - height}" width="10" height="{height}"/>{cap}</g>'
    )
