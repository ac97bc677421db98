"""Letters, their alterations, and the feet that move them.

A letter is a step 0–6, C first; an alteration is -1 (flat), 0 (natural) or 1 (sharp). Source of the order of the
pedals and of the feet: E. Volpé Bligh, *Writing for the Pedal Harp* (published).
"""

from __future__ import annotations

from collections.abc import Sequence

from ..score.pitch import LETTERS

PEDALS = (1, 0, 6, 2, 3, 4, 5)
"""The steps of the pedals from left to right: D C B, E F G A."""
LEFT_FOOT = (1, 0, 6)
RIGHT_FOOT = (2, 3, 4, 5)
FEET = {"left": LEFT_FOOT, "right": RIGHT_FOOT}
SIGNS = {-1: "♭", 0: "♮", 1: "♯"}

Setting = tuple[int, ...]
"""An alteration for each step, C first."""


def letter(step: int, alteration: int) -> str:
    """A letter with its sign.

    >>> letter(3, 1), letter(6, -1)
    ('F♯', 'B♭')
    """
    return LETTERS[step] + SIGNS[alteration]


def spoken(setting: Sequence[int]) -> str:
    """A setting in the order of the pedals.

    >>> spoken((0, 0, -1, 0, 0, -1, -1))
    'D♮ C♮ B♭ | E♭ F♮ G♮ A♭'
    """
    left, right = (" ".join(letter(step, setting[step]) for step in foot) for foot in (LEFT_FOOT, RIGHT_FOOT))
    return f"{left} | {right}"


def diagram(setting: Sequence[int]) -> str:
    """A setting as the typesetter's own ``\\harp-pedal`` takes it: up (^) is flat, down (v) sharp.

    >>> diagram((0, 0, -1, 0, 0, -1, 1))
    '--v|^--^'
    """
    signs = {-1: "^", 0: "-", 1: "v"}
    left, right = ("".join(signs[setting[step]] for step in foot) for foot in (LEFT_FOOT, RIGHT_FOOT))
    return f"{left}|{right}"


def foot_of(step: int) -> str:
    """The foot that moves the pedal of a letter, ``left`` or ``right``."""
    return "left" if step in LEFT_FOOT else "right"


def neighbours(one: int, other: int) -> bool:
    """Whether two pedals of one foot stand side by side."""
    return foot_of(one) == foot_of(other) and abs(PEDALS.index(one) - PEDALS.index(other)) == 1
