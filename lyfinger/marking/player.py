"""The player and the harp that a configuration describes."""

from __future__ import annotations

from dataclasses import dataclass

from ..config import Config
from ..fingering.model import Passage, Placed
from ..fingering.search import place
from ..fingering.settings import Settings
from ..harp.hand import HANDS, HandProfile
from ..harp.profile import HARPS
from ..harp.reach import Reach
from ..source.messages import Refused


@dataclass(frozen=True, slots=True)
class Player:
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
    """The player of a configuration. Raises Refused, with the line, for a harp that nobody knows."""
    if config.harp not in HARPS:
        raise Refused(f"harp.profile must be one of {', '.join(HARPS)}", config.places.get("harp.profile"))
    return Player(HANDS[config.hand], Settings(harp=HARPS[config.harp]))
