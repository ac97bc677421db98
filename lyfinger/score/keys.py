"""Key signatures: which alteration each letter has in a key."""

from __future__ import annotations

from .pitch import Pitch

#: How many sharps more (flats: below nothing) a mode has than the major key on the same note.
MODES = {
    "major": 0,
    "ionian": 0,
    "lydian": 1,
    "mixolydian": -1,
    "dorian": -2,
    "minor": -3,
    "aeolian": -3,
    "phrygian": -4,
    "locrian": -5,
}
_FIFTHS = (0, 2, 4, -1, 1, 3, 5)  # sharps of the major key on C, D, E, F, G, A, B
_ORDER = (1, 3, 5, 0, 2, 4, 6)  # the place of C, D, E, F, G, A, B in the order of sharps, F first


def signature(tonic: Pitch, mode: str) -> tuple[int, ...] | None:
    """The alteration (semitones) of each letter, C first; None for a mode without a name here.

    >>> from fractions import Fraction
    >>> signature(Pitch(4, 2, Fraction(-1)), "major")  # E flat major
    (0, 0, -1, 0, 0, -1, -1)
    """
    if mode.lstrip("\\") not in MODES or tonic.alter.denominator != 1:
        return None
    sharps = _FIFTHS[tonic.step] + 7 * int(tonic.alter) + MODES[mode.lstrip("\\")]
    return tuple((sharps - place - 1) // 7 + 1 for place in _ORDER)
