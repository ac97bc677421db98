"""The plot of the fit: spread against interval, a panel for each hand and pair of fingers, as SVG."""

from __future__ import annotations

from collections.abc import Iterator
from xml.sax.saxutils import escape

from lyfinger.harp.hand import LARGE, MEDIUM, PAIRS, SMALL, HandProfile, Spread
from lyfinger.harp.profile import PEDAL
from lyfinger.harp.reach import Reach
from tests.harp.fit import NAMES, chosen

_WIDTH, _HEIGHT = 1120, 730
_LEFT, _TOP = 86, 92
_PANEL_WIDTH, _PANEL_HEIGHT = 154, 160
_GAP_X, _GAP_Y = 14, 22
_MOST = 180  # mm, the top of every panel

_CRAMPED, _EASY, _STRETCHED, _OUT = "#b9d3ea", "#cfe6c4", "#f6dfae", "#f4f4f4"
_INK, _GREY, _LINE = "#222222", "#666666", "#8a8a8a"
_REGISTERS = ((14, "from C2", "#7a4a9c"), (28, "from C4", "#1d5f8a"), (42, "from C6", "#a8492a"))
_HANDS = (SMALL, MEDIUM, LARGE)


def plot() -> str:
    """The whole picture; the same text for the same numbers."""
    return "\n".join([*_head(), *_panels(), *_legend(), "</svg>"]) + "\n"


def _head() -> Iterator[str]:
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH}" height="{_HEIGHT}" '
        f'viewBox="0 0 {_WIDTH} {_HEIGHT}" font-family="DejaVu Sans, Verdana, sans-serif">'
    )
    yield "<title>How far two fingers open, against the intervals of a concert pedal harp</title>"
    yield _box(0, 0, _WIDTH, _HEIGHT, "#ffffff")
    yield _text(20, 30, "How far two fingers open, against the intervals of a concert pedal harp", 17, bold=True)
    yield _text(20, 50, "Distance in mm. A full dot: the fingers that lyfinger takes for this interval alone.", 12)


def _panels() -> Iterator[str]:
    for row, hand in enumerate(_HANDS):
        y = _TOP + row * (_PANEL_HEIGHT + _GAP_Y)
        yield _text(20, y + _PANEL_HEIGHT / 2, hand.name, 13, bold=True)
        yield _text(20, y + _PANEL_HEIGHT / 2 + 16, "hand", 12)
        for column, pair in enumerate(PAIRS):
            x = _LEFT + column * (_PANEL_WIDTH + _GAP_X)
            if row == 0:
                label = "thumb and 2" if column == 0 else f"{pair[0]} and {pair[1]}"
                yield _text(x + _PANEL_WIDTH / 2, y - 10, label, 12, "middle", bold=True)
            yield from _panel(x, y, hand, pair, scale=column == 0, names=row == len(_HANDS) - 1)


def _panel(x: float, y: float, hand: HandProfile, pair: tuple[int, int], scale: bool, names: bool) -> Iterator[str]:
    spread = Reach(hand, PEDAL).spread(*pair)
    yield from _bands(x, y, spread)
    for mm in range(0, _MOST + 1, 60):
        yield _line(x, _at(y, mm), x + _PANEL_WIDTH, _at(y, mm), "#ffffff", 0.8)
        if scale:
            yield _text(x - 6, _at(y, mm) + 4, str(mm), 10, "end", _GREY)
    for low, _, colour in _REGISTERS:
        yield from _curve(x, y, hand, pair, low, colour)
    for interval, name in NAMES.items():
        if names and interval % 2 == 0:
            yield _text(_across(x, interval), y + _PANEL_HEIGHT + 15, name, 10, "middle", _GREY)
    yield _frame(x, y)


def _bands(x: float, y: float, spread: Spread) -> Iterator[str]:
    edges = (0.0, spread.cramped / 1000, spread.easy / 1000, spread.greatest / 1000, float(_MOST))
    for low, high, colour in zip(edges, edges[1:], (_CRAMPED, _EASY, _STRETCHED, _OUT), strict=False):
        low, high = min(low, _MOST), min(high, _MOST)
        if high > low:
            yield _box(x, _at(y, high), _PANEL_WIDTH, _at(y, low) - _at(y, high), colour)


def _curve(x: float, y: float, hand: HandProfile, pair: tuple[int, int], low: int, colour: str) -> Iterator[str]:
    places = {
        interval: (_across(x, interval), _at(y, PEDAL.span(low, low + interval - 1) / 1000)) for interval in NAMES
    }
    points = " ".join(f"{px:.1f},{py:.1f}" for px, py in places.values())
    yield f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="1.2"/>'
    for interval, (px, py) in places.items():
        if chosen(hand, PEDAL, low, interval) == f"{pair[1]} {pair[0]}":
            yield f'<circle cx="{px:.1f}" cy="{py:.1f}" r="3" fill="{colour}"/>'


def _legend() -> Iterator[str]:
    y = _TOP + len(_HANDS) * (_PANEL_HEIGHT + _GAP_Y) + 36
    bands = ((_CRAMPED, "cramped"), (_EASY, "easy"), (_STRETCHED, "stretched"), (_OUT, "out of reach"))
    x = float(_LEFT)
    for colour, name in bands:
        yield _box(x, y - 11, 22, 14, colour, _LINE)
        yield _text(x + 28, y, name, 12)
        x += 130
    for _, name, colour in _REGISTERS:
        yield _line(x, y - 4, x + 24, y - 4, colour, 2)
        yield _text(x + 30, y, name, 12)
        x += 120
    yield _text(
        _LEFT,
        y + 24,
        "The medium hand is calibrated from C4 up, the other sizes on the shifts that the trade reports. "
        "A digit is a suggestion: stop when it hurts; ask a teacher or a clinician.",
        11,
        colour=_GREY,
    )


def _across(x: float, interval: int) -> float:
    return x + 12 + (interval - 2) * (_PANEL_WIDTH - 24) / (max(NAMES) - 2)


def _at(y: float, mm: float) -> float:
    return y + _PANEL_HEIGHT * (1 - mm / _MOST)


def _box(x: float, y: float, width: float, height: float, fill: str, stroke: str = "none") -> str:
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" fill="{fill}" stroke="{stroke}"/>'


def _frame(x: float, y: float) -> str:
    return _box(x, y, _PANEL_WIDTH, _PANEL_HEIGHT, "none", _LINE)


def _line(x: float, y: float, to_x: float, to_y: float, colour: str, width: float) -> str:
    ends = f'x1="{x:.1f}" y1="{y:.1f}" x2="{to_x:.1f}" y2="{to_y:.1f}"'
    return f'<line {ends} stroke="{colour}" stroke-width="{width:g}"/>'


def _text(
    x: float, y: float, text: str, size: int, anchor: str = "start", colour: str = _INK, *, bold: bool = False
) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}" fill="{colour}"{weight}>'
        f"{escape(text)}</text>"
    )
