"""What a player, a harp and a score say of pedals and levers: settings, not facts."""

from __future__ import annotations

from typing import NamedTuple


class PedalSettings(NamedTuple):
    """``diagrams`` and ``changes`` are markup commands of the score's own: what they take is what the typesetter's
    ``harp-pedal`` takes, or letters with signs. ``neighbours``: this player moves two neighbouring pedals with one
    foot. ``tuning`` is the major key that a lever harp is tuned in (``Eb``), None for the usual one.
    """

    diagrams: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    neighbours: bool = False
    tuning: str | None = None
