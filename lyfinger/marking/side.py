"""Above or below: the side on which a digit is put.

The plain form ``-1`` lets LilyPond split a four-note chord, digits above and below it; a digit always says its side.
A voice with a direction of its own (``\\\\``, ``\\voiceOne`` to ``\\voiceFour``, ``\\stemUp``, ``\\stemDown``) has only
its own side free: on the other one a digit overprints the other voice's. Source: engraved pages, looked at, of
LilyPond 2.25.12.
"""

from __future__ import annotations

from collections.abc import Iterable

UP, DOWN, BESIDE = 1, -1, 0
SIGN = {UP: "^", DOWN: "_", BESIDE: "-"}
_HANDS_SIDE = {"right": UP, "left": DOWN}


def digit_side(soundings: Iterable[tuple[int, str]]) -> int:
    """The side of a source note's digit, from the ``(voice side, hand)`` of every sounding that is plucked.

    The side of a sounding is its voice's own (1 up, -1 down), else (0) the hand's. One source note has one digit, so
    where its soundings want different sides (both hands play it, or it is used in an upper and in a lower voice) it
    goes above. The order of the soundings does not matter.
    """
    sides = [voice_side or _HANDS_SIDE[hand] for voice_side, hand in soundings]
    return UP if UP in sides or not sides else DOWN
