"""The player and the harp that a configuration describes."""

from __future__ import annotations

from typing import NamedTuple

from ..config import Config
from ..fingering.model import Passage, Placed
from ..fingering.search import place
from ..fingering.settings import Settings
from ..harp.feet import PedalSettings
from ..harp.hand import HANDS, PAIRS, HandProfile, hand_of_reach
from ..harp.profile import HARPS, HarpProfile
from ..harp.reach import Reach
from ..score.pitch import string_number
from ..source.messages import Refused
from .weighing import weights_of


class Player(NamedTuple):
    """A hand, and how the search is to judge for it; the harp is one of the settings."""

    hand: HandProfile
    settings: Settings

    @property
    def reach(self) -> Reach:
        """The hand on its harp."""
        return Reach(self.hand, self.settings.harp)

    def place(self, passage: Passage) -> Placed:
        """The best fingering of a passage for this player."""
        return place(passage, self.hand, self.settings)


def player_of(config: Config) -> Player:
    """The player of a configuration. Raises Refused, with the line, for a hand, a harp or a rule that can't be."""
    return Player(_hand(config), Settings(harp=_harp(config), weights=weights_of(config)))


def pedals_of(config: Config) -> PedalSettings:
    """What a configuration says of pedals and levers."""
    return PedalSettings(config.pedal_diagrams, config.pedal_changes, config.pedal_neighbours, config.tuning)


def _hand(config: Config) -> HandProfile:
    """The hand by its size, or by its span with all pairs in proportion; then each pair that was measured."""
    pairs = {(int(pair[0]), int(pair[2])): reach for pair, reach in config.hand_reach.items()}
    hand = HANDS[config.hand] if config.hand_span is None else hand_of_reach("measured", config.hand_span)
    for pair, reach in pairs.items():
        hand = hand.with_spread(pair, hand.spreads[PAIRS.index(pair)].reaching(reach))
    for (thumb, finger), reach in pairs.items():
        if reach > hand.reach:
            text = f"hand.reach.{thumb}-{finger} is more than thumb and ring finger reach ({hand.reach // 1000} mm)"
            raise Refused(text, config.places.get(f"hand.reach.{thumb}-{finger}"))
    return hand


def _harp(config: Config) -> HarpProfile:
    """The harp by its name, with the player's own numbers in place of the profile's."""
    if config.harp not in HARPS:
        raise Refused(f"harp.profile must be one of {', '.join(HARPS)}", config.places.get("harp.profile"))
    harp = HARPS[config.harp]
    fixed = harp.fixed if config.fixed is None else tuple(sorted(string_number(name) for name in config.fixed))
    if not (config.lowest or config.highest or config.spacing):
        return harp._replace(fixed=fixed)
    lowest = string_number(config.lowest) if config.lowest else harp.lowest
    highest = string_number(config.highest) if config.highest else harp.highest
    if lowest >= highest:
        place = config.places.get("harp.highest", config.places.get("harp.lowest"))
        raise Refused("harp.lowest must be a lower string than harp.highest", place)
    own = sorted((string_number(name), width) for name, width in config.spacing.items())
    return HarpProfile("own", lowest, highest, tuple(own) or harp.spacing, fixed, harp.levers)
