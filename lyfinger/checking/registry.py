"""Every rule of the check, in the order in which they are listed and explained."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from ..source.messages import Message
from . import (
    figure_rules,
    hand_rules,
    lever_rules,
    pedal_rules,
    stretch_rules,
    string_rules,
    time_rules,
    together_rules,
)
from .draft import Draft


class Rule(NamedTuple):
    """A named rule. Its function's name is the rule's, with hyphens; every message of it bears that name."""

    name: str
    find: Callable[[Draft], Iterator[Message]]

    @property
    def doc(self) -> str:
        """The documentation under its fixed headings: Applies when, Says, Source."""
        return self.find.__doc__ or ""


def _rules(*functions: Callable[[Draft], Iterator[Message]]) -> tuple[Rule, ...]:
    return tuple(Rule(function.__name__.replace("_", "-"), function) for function in functions)


RULES: tuple[Rule, ...] = _rules(
    hand_rules.four_fingers,
    hand_rules.passed_to_other_hand,
    hand_rules.reach,
    stretch_rules.wide_chords,
    stretch_rules.wide_placings,
    stretch_rules.tenth_beside_thumb,
    stretch_rules.tiring_chords,
    together_rules.both_hands_one_string,
    together_rules.hands_tangled,
    together_rules.harmonics_at_once,
    hand_rules.finger_number,
    hand_rules.finger_twice,
    hand_rules.crossed_fingers,
    hand_rules.locked_digits_differ,
    figure_rules.figure_fingered_two_ways,
    time_rules.string_struck_again,
    time_rules.tremolo_without_twin,
    time_rules.low_fast_bass,
    time_rules.leap,
    time_rules.five_notes_no_slide,
    string_rules.double_alteration,
    string_rules.quarter_tone,
    string_rules.two_alterations,
    string_rules.off_the_harp,
    string_rules.no_mechanism,
    pedal_rules.pedal_under_sounding_string,
    pedal_rules.pedals_of_one_foot,
    pedal_rules.pedals_too_fast,
    pedal_rules.pedal_mark_contradicts,
    pedal_rules.pedal_mark_missing,
    pedal_rules.glissando_setting,
    lever_rules.no_lever,
    lever_rules.lever_without_hand,
)
