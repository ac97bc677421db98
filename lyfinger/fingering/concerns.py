"""Where a rule can count at all, whatever the fingers: asked once, so that the rule is not asked in vain many times.

Each function takes the view of its rule, looks at no fingers (they may be missing from the view), and says False only
where the rule counts nothing with any. What stands here repeats the head of "Applies when"; a test holds it to the
rules. A rule without a line here is always asked. Of a shape they look at nothing but how many strings it has: that is
asked once for each number.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from . import figure_rules, page_rules, shape_rules
from .views import Change, Move, Shape, Strike


def _struck(*sizes: int) -> Callable[[Shape], bool]:
    """Placings of one of these numbers of strings."""
    return lambda shape: len(shape.strings) in sizes


def _chord(strike: Strike) -> bool:
    return len(strike.onset.strings) > 1


def _note(strike: Strike) -> bool:
    return len(strike.onset.strings) == 1


def _with_chord(move: Move) -> bool:
    """From a single note to a chord, or from a chord to a single note."""
    return (len(move.before) > 1) != (len(move.after) > 1)


def _crossing(way: int) -> Callable[[Move], bool]:
    """Single notes that go up (``way`` 1) or down (−1), or one with a chord."""
    return lambda move: not move.glide and (move.leap * way > 0 if move.single else _with_chord(move))


def _step(way: int) -> Callable[[Move], bool]:
    return lambda move: not move.glide and move.single and move.leap == way


def _alike(change: Change) -> bool:
    """Shapes of as many strings, with distances to compare."""
    return len(change.before.gaps) == len(change.after.gaps) > 0


def _lone(change: Change) -> bool:
    return len(change.before.fingers) == 1 or len(change.after.fingers) == 1


CONCERNS: dict[Callable[[Any], int], Callable[[Any], bool]] = {
    shape_rules.trained_pair: _struck(2),
    shape_rules.three_finger_shape: _struck(3),
    shape_rules.stretch: _struck(2, 3, 4),
    shape_rules.gap_between_fingers: _struck(2, 3, 4),
    shape_rules.cramp: _struck(2, 3, 4),
    shape_rules.thumb_on_top: _struck(2, 3, 4),
    shape_rules.chord_inside_placing: _chord,
    figure_rules.weak_finger: lambda strike: strike.onset.accent and _note(strike),
    figure_rules.slur_group: lambda strike: strike.onset.slur_start,
    figure_rules.rolled_chord: lambda strike: strike.onset.rolled and _chord(strike),
    figure_rules.trill: lambda strike: strike.onset.trill and _note(strike),
    figure_rules.glissando: lambda strike: strike.glide != 0 and _note(strike),
    page_rules.kept_digit: lambda strike: bool(strike.onset.kept),
    figure_rules.struck_again: lambda move: not move.glide and move.single and move.leap == 0,
    figure_rules.thumb_at_leisure: _with_chord,
    figure_rules.chord_after_chord: lambda move: len(move.before) > 1 and len(move.after) > 1,
    figure_rules.placing: lambda move: not move.glide,
    figure_rules.cross_under: _crossing(1),
    figure_rules.cross_over: _crossing(-1),
    figure_rules.hop: lambda move: not move.glide and (len(move.before) == 1 or len(move.after) == 1),
    figure_rules.slide: _step(-1),
    figure_rules.slide_up: _step(1),
    figure_rules.lift: lambda move: not move.glide and move.single and move.leap != 0,
    figure_rules.grace_group: lambda move: move.grace,
    figure_rules.shape_change: _alike,
    figure_rules.lone_note: _lone,
}
