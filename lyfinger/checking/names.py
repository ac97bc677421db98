"""The names of everything that a check can say, for whoever picks findings by name."""

from __future__ import annotations

from collections.abc import Mapping

from .accepting import ACCEPTS_NOTHING, UNKNOWN_RULE
from .registry import RULES

OTHERS: Mapping[str, str] = {
    "passage-not-followed": "Source that could not be followed; nothing in it is read or marked.",
    "digits-behind-chord": "Digits behind a chord, which belong to no single note of it.",
    "no-room-for-digit": "A note behind whose duration no digit can safely stand.",
    "sign-left-out": "A sign that is asked for and can't be put in: for a hand, or in a fragment of a document.",
    "no-finger-left": "Locked digits that leave no finger for another string of the chord.",
    "reused-note": "Notes of reused music that can't have the same digits in every place.",
    "not-proven-best": "A fingering that was not proven to be the best.",
    "unknown-hand-name": "A name in [hands] that nothing has, but something nearly.",
    "no-hand": "A staff of which nothing says which hand plays it.",
    "not-the-harp": "A staff that is another instrument's.",
    "ossia": "A staff that is played in place of another, or is taken for one because of where it begins.",
    "doubled": "A digit that is printed in another instrument's staff too, which plays from the same music.",
    "pedal-plan": "Pedals that mark --pedals can't print, or not as the notes would have them.",
    "respelling": "What pedals --respell has found.",
    ACCEPTS_NOTHING: "A comment accepts a finding that does not occur.",
    UNKNOWN_RULE: "A comment accepts a rule that does not exist.",
}
"""What reading, hands, search and the check itself say besides the rules: name, and what it is about."""


def known_names() -> tuple[str, ...]:
    """The names of all rules of the check, then those of :data:`OTHERS`."""
    return (*(rule.name for rule in RULES), *OTHERS)
