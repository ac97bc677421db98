"""Notes split at bar lines, where ``Completion_heads_engraver`` makes the heads of a voice.

One written note then has several heads, tied to one another. How long each is follows that engraver (2.25.12): up to
the end of the measure, or of a ``completionUnit``, as far as one notated duration reaches.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator
from fractions import Fraction

from ..score.model import Bar
from .collect import Sounding, Splitting
from .measures import ratio

ONE = Fraction(1)


def splitting(scale: Fraction, unit: str | None, factor: str | None) -> Splitting:
    """From the two properties as they are written."""
    given = scale if factor in ("f", "##f", "#f") else ratio(factor)
    return Splitting(scale, ratio(unit), given)


def split(soundings: list[Sounding], bars_of: Callable[[Sounding], list[Bar]]) -> list[Sounding]:
    """The soundings with those split that are to be split; later pieces are tied."""
    return [piece for sounding in soundings for piece in _pieces(sounding, bars_of)]


def _pieces(sounding: Sounding, bars_of: Callable[[Sounding], list[Bar]]) -> Iterator[Sounding]:
    way = sounding.splitting
    bars = bars_of(sounding) if way is not None and not sounding.grace else []
    if way is None or not bars:
        yield sounding
        return
    from copy import copy

    at, left = sounding.moment, sounding.duration
    factor: Fraction | None = None
    while left > 0:
        bar = bars[max(bisect_right(bars, at, key=lambda bar: bar.start) - 1, 0)]
        if factor is None:
            length = left
            factor = way.factor or (ONE if left > bar.length else way.scale)
        else:
            length = _notated(left / factor) * factor
        reach = _reach(bar, at, length, way.unit)
        if 0 < reach < length:
            length = _notated(reach / factor) * factor
        first, last = at == sounding.moment, length >= left
        piece = copy(sounding)
        piece.moment, piece.duration = at, length
        piece.marks = sounding.marks if first else sounding.marks & {"tieStart"}
        piece.tie, piece.tied = sounding.tie and last, sounding.tied or not first
        yield piece
        at, left = at + length, left - length


def _reach(bar: Bar, at: Fraction, length: Fraction, unit: Fraction | None) -> Fraction:
    """How far a piece of ``length`` at a moment may reach at most; 0: as far as it likes."""
    position = bar.engraved_position_at(at, Fraction(0))
    reach = bar.length - position
    if bar.still or reach < 0:
        return Fraction(0)
    if not unit:
        return reach
    within = position / unit - int(position / unit)  # towards zero, in an upbeat too
    if within:
        return unit * (1 - within)
    units = min(reach, length) / unit
    return unit * 2 ** ((units.numerator // units.denominator).bit_length() - 1) if units > 1 else min(reach, length)


def _notated(length: Fraction) -> Fraction:
    """The longest plain or dotted duration that is not longer: the leading ones of the binary fraction."""
    value = Fraction(2) ** (length.numerator.bit_length() - length.denominator.bit_length())
    while value > length:
        value /= 2
    if value < Fraction(1, 64):
        return length
    total = value
    while total + value / 2 <= length:
        value /= 2
        total += value
    return total
