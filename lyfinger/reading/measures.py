"""Bars: which changes of time count for which staff, and what is counted from them.

The typesetter's ``Timing_translator`` counts for the context that it is in and for all below: as a rule the score,
after ``\\enablePolymeter`` each staff. Where it is in no context around a staff, nobody counts there.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Any

from ..score import bars as timing
from ..score.grid import Grid
from ..score.model import Bar, Score
from .collect import Collection, Gap, Sounding, Stamp
from .contexts import Context, ContextTree, counter_of
from .layouts import COUNTING

AGAIN = r"[#$]?'?numbers(-with-letters)?"
COMPOUND = r"\(([\d\s]+)\)"
RATIO = r"-?\d+(?:/\d+)?"
ZERO = Fraction(0)


def begins(items: Iterable[Sounding | Gap], grid: Grid) -> list[tuple[int, int]]:
    """Where each item begins, on a grid: moment and grace."""
    at = grid.at
    return [(at(item.moment), at(item.grace)) for item in items]


def count_bars(
    score: Score, tree: ContextTree, collection: Collection, grid: Grid, starts: list[tuple[int, int]]
) -> None:
    """Fills in the bars of a score, and those of each staff that counts by itself; ``grid`` is of all that sounds or
    rests, ``starts`` are the beginnings of the soundings on it."""
    counts = _Counts(collection, grid, starts)
    changes: dict[Context, list[timing.Change]] = {}
    own: dict[Context, list[timing.Change]] = {}
    everywhere: list[timing.Change] = []
    for stamp in collection.stamps:
        if (signature := _own_signature(stamp)) is not None:
            own.setdefault(signature[0], []).append(signature[1])
        elif (counter := _counter(stamp)) is not None:
            changes.setdefault(counter, []).extend(_changes(stamp))
        elif stamp.what == "alternativeNumberingStyle":
            everywhere.extend(_changes(stamp))  # of the score, and seen from every staff that counts
    apart = any(counter_of(staff) is staff for staff in tree.staves)
    firsts = _first_moments(collection) if apart else {}
    for staff, model in zip(tree.staves, score.staves, strict=True):
        counter = counter_of(staff)
        if counter is not None and (counter is staff or staff in own):
            begin = firsts.get(staff, ZERO) if counter is staff else ZERO
            found = [*changes.get(counter, []), *own.get(staff, []), *everywhere]
            model.bars = counts.count(_from_settings(counter), found, begin)
    if counter_of(tree.root) is not None:
        score.bars = counts.count(_from_settings(tree.root), changes.get(tree.root, []))
    else:
        score.bars = next((staff.bars for staff in score.staves if staff.bars), [])


class _Counts:
    """Counting through the time of one score."""

    def __init__(self, collection: Collection, grid: Grid, starts: list[tuple[int, int]]) -> None:
        at = grid.at
        items: list[Sounding | Gap] = [*collection.soundings, *collection.gaps]
        found = dict(zip([*starts, *begins(collection.gaps, grid)], items, strict=True))
        self.steps = [(found[key].moment, found[key].grace) for key in sorted(found)]
        moments = zip(starts, collection.soundings, strict=True)
        ends = (moment + at(item.duration) for (moment, grace), item in moments if not grace)
        self.end = max(collection.end, Fraction(max(ends, default=0), grid.unit))
        if self.steps and self.steps[-1][0] >= self.end:
            self.end += Fraction(1, 1024)  # grace notes behind the last note begin a measure of their own

    def count(
        self, settings: list[timing.Change], changes: Iterable[timing.Change], begin: Fraction = ZERO
    ) -> list[Bar]:
        """The bars from ``begin`` on, where the settings are in force and the count starts."""
        # In a time step the order of the source counts, and the last of several settings, whichever staff has it.
        ordered = sorted(changes, key=lambda change: (change.moment, change.grace))
        opening = next((grace for moment, grace in self.steps if moment == begin), ZERO)
        settings = [change._replace(grace=min(opening, ZERO)) for change in settings]
        if not begin:
            return timing.bars([*settings, *ordered], self.end, self.steps)
        later = [change._replace(moment=change.moment - begin) for change in ordered if change.moment >= begin]
        steps = [(moment - begin, grace) for moment, grace in self.steps if moment >= begin]
        counted = timing.bars([*settings, *later], self.end - begin, steps)
        return [bar._replace(start=bar.start + begin) for bar in counted]


def _counter(stamp: Stamp) -> Context | None:
    """Where the change counts. What is said above staves that count by themselves is for the one that it makes."""
    if stamp.context is None:
        return None
    counter = counter_of(stamp.context)
    implied = stamp.context.default
    return counter_of(implied) if counter is None and implied is not None and stamp.what not in COUNTING else counter


def _own_signature(stamp: Stamp) -> tuple[Context, timing.Change] | None:
    """``\\set Staff.timeSignatureFraction`` in a staff that doesn't count by itself."""
    staff = stamp.context
    if stamp.what != "timeSignatureFraction" or staff is None or staff.role != "staff" or counter_of(staff) is staff:
        return None
    unit = _unit(stamp.value)
    return None if unit is None else (staff, timing.Signature(stamp.moment, unit, stamp.grace, own=True))


def _unit(value: Any) -> Fraction | None:
    numbers = re.findall(r"\d+", str(value))
    return Fraction(1, int(numbers[1])) if len(numbers) == 2 and int(numbers[1]) else None


def _first_moments(collection: Collection) -> dict[Context, Fraction]:
    found: dict[Context, Fraction] = {}
    items: list[tuple[Context, Fraction]] = [(item.voice, item.moment) for item in collection.soundings]
    items += [(gap.voice, gap.moment) for gap in collection.gaps]
    items += [(stamp.context, stamp.moment) for stamp in collection.stamps if stamp.context is not None]
    for context, moment in items:
        staff = context.up("staff")
        found[staff] = min(found.get(staff, moment), moment)
    return found


def _from_settings(counter: Context) -> list[timing.Change]:
    """What the layout and ``\\with`` set in a context that counts: in force from the beginning."""
    stamps = (Stamp(ZERO, ZERO, name, counter.setting(name), None, counter.offset) for name in sorted(COUNTING))
    return [change for stamp in stamps if stamp.value for change in _changes(stamp)]


def _changes(stamp: Stamp) -> Iterator[timing.Change]:
    if stamp.what == "compoundMeter":
        yield from _compound(stamp)
    elif (change := _change(stamp)) is not None:
        yield change


def _compound(stamp: Stamp) -> Iterator[timing.Change]:
    """``#'((2 2 3 8) (1 4))``: groups of counts, the last number of each the denominator; ``#'(2 2 3 8)`` and
    ``2,2,3,8``: one group."""
    given = stamp.value[0]
    text = f"({' '.join(given)})" if isinstance(given, tuple) else str(given)
    groups = [[int(number) for number in found.split()] for found in re.findall(COMPOUND, text)]
    groups = [group for group in groups if len(group) > 1 and group[-1]]
    if not groups:
        return
    length = sum((Fraction(sum(counts), below) for *counts, below in groups), ZERO)
    if length <= 0:
        return
    beat = Fraction(1, max(group[-1] for group in groups))
    yield timing.MeasureLength(stamp.moment, length, stamp.grace)
    yield timing.BeatLength(stamp.moment, beat, stamp.grace)
    yield timing.Signature(stamp.moment, Fraction(1, length.denominator), stamp.grace)


def _change(stamp: Stamp) -> timing.Change | None:
    at, grace, value = stamp.moment, stamp.grace, stamp.value
    match stamp.what:
        case "time":
            return timing.TimeSignature(at, value[0][0], value[0][1], grace) if value[0] else None
        case "partial":
            return timing.Partial(at, value[0], grace) if value and isinstance(value[0], Fraction) else None
        case "cadenzaOn" | "cadenzaOff":
            return timing.Cadenza(at, stamp.what == "cadenzaOn", grace)
        case "alternative":
            return timing.AlternativeStart(at, value[0], grace, first=value[1], numbered=value[2])
        case "timing":
            return timing.Cadenza(at, "f" in str(value), grace)
        case "alternativeNumberingStyle":
            return timing.Numbering(at, re.fullmatch(AGAIN, str(value)) is not None, grace)
        case "timeSignatureFraction":
            unit = _unit(value)
            return None if unit is None else timing.Signature(at, unit, grace)
    return _from_number(stamp, ratio(value) if stamp.what in COUNTING else None)


def _from_number(stamp: Stamp, number: Fraction | None) -> timing.Change | None:
    at, grace = stamp.moment, stamp.grace
    if number is None:
        return None
    if stamp.what == "currentBarNumber":
        return timing.BarNumber(at, int(number), grace)
    if stamp.what == "measurePosition":
        return timing.MeasurePosition(at, number, grace)
    return timing.MeasureLength(at, number, grace) if number > 0 else None


def ratio(value: Any) -> Fraction | None:
    """A number, or the one in ``(ly:make-moment 3/4)``, ``(ly:make-moment 3 4)`` and ``ZERO-MOMENT``."""
    if isinstance(value, Fraction):
        return value
    text = str(value)
    if text.lstrip("#$") == "ZERO-MOMENT":
        return ZERO
    numbers = re.findall(RATIO, text)
    if len(numbers) == 1:
        above, _, below = numbers[0].partition("/")
        return Fraction(int(above), int(below or 1)) if int(below or 1) else None
    if len(numbers) == 2 and "/" not in "".join(numbers) and int(numbers[1]):
        return Fraction(int(numbers[0]), int(numbers[1]))
    return None
