"""Every rule of the fingering, in the order in which they are listed and explained."""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum
from typing import Any, NamedTuple

from . import figure_rules, page_rules, shape_rules


class Occasion(Enum):
    """When a rule is asked; each occasion has its own view (lyfinger.fingering.views)."""

    SHAPE = "once for each placing, on its shape"
    ORDER = "once for each placing, on the order of its strings"
    START = "once for each placing, on its first onset"
    EARLY = "for each string that a placing sets early and that has just sounded"
    STRIKE = "for each onset"
    REPEAT = "for two onsets running, inside a placing or between two"
    INSIDE = "for two onsets running, inside a placing"
    SHIFT = "for two onsets running, between two placings"
    CHANGE = "for two placings running"


class Rule(NamedTuple):
    """A named rule. ``assess`` returns what it counts (never below nothing); its weight stands in the one table."""

    name: str
    occasion: Occasion
    assess: Callable[[Any], int]

    @property
    def doc(self) -> str:
        """The documentation under its fixed headings."""
        return self.assess.__doc__ or ""


def _rules(occasion: Occasion, *functions: Callable[[Any], int]) -> tuple[Rule, ...]:
    return tuple(Rule(function.__name__.replace("_", "-"), occasion, function) for function in functions)


RULES: tuple[Rule, ...] = (
    *_rules(
        Occasion.SHAPE,
        shape_rules.trained_pair,
        shape_rules.three_finger_shape,
        shape_rules.stretch,
        shape_rules.gap_between_fingers,
        shape_rules.cramp,
        shape_rules.thumb_on_top,
        shape_rules.short_placing,
    ),
    *_rules(Occasion.ORDER, shape_rules.turn, shape_rules.four_string_placing),
    *_rules(Occasion.START, figure_rules.beat_group),
    *_rules(Occasion.EARLY, figure_rules.buzz),
    *_rules(
        Occasion.STRIKE,
        shape_rules.chord_inside_placing,
        figure_rules.weak_finger,
        figure_rules.slur_group,
        figure_rules.rolled_chord,
        figure_rules.trill,
        figure_rules.glissando,
        page_rules.kept_digit,
    ),
    *_rules(Occasion.REPEAT, figure_rules.struck_again),
    *_rules(Occasion.INSIDE, figure_rules.thumb_at_leisure, figure_rules.chord_after_chord),
    *_rules(
        Occasion.SHIFT,
        figure_rules.placing,
        figure_rules.cross_under,
        figure_rules.cross_over,
        figure_rules.hop,
        figure_rules.slide,
        figure_rules.slide_up,
        figure_rules.lift,
        figure_rules.grace_group,
    ),
    *_rules(Occasion.CHANGE, figure_rules.shape_change, figure_rules.lone_note),
)
