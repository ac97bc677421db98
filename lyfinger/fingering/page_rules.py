"""Rules about what stood on the player's page before: digits that have been practised."""

from __future__ import annotations

from .views import Strike


def kept_digit(strike: Strike) -> int:
    """A digit of an earlier marking stays, so that a revised part changes no more than it must.

    Applies when: a note has a digit in the earlier marking that is to be kept (``mark --keep``), and takes another. A
    locked digit wins: its note has no digit to keep. Neither has a note that can no longer take the old one.
    Cost: 1 for each note, each time that it sounds.
    Interacts with: every rule. What is kept gives way where the others together ask for more than its weight.
    Source: [T] what has been practised is not fingered anew without need. The weight is a setting.
    """
    pairs = zip(strike.onset.kept, strike.fingers, strict=False)
    return sum(kept is not None and kept != finger for kept, finger in pairs)
