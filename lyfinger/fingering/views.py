"""What a rule looks at: one small value for each kind of occasion on which rules are asked.

Fingers and strings always run parallel, low to high. ``haste`` says how little time there is: 0 at leisure, 1000 in
a fast figure (see :meth:`lyfinger.fingering.settings.Settings.haste`).
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from ..harp.reach import Reach
from .model import Onset


class Shape(NamedTuple):
    """All strings of one placing with their fingers: the shape that the hand takes."""

    strings: tuple[int, ...]
    fingers: tuple[int, ...]
    reach: Reach


class Order(NamedTuple):
    """The strings of each onset of one placing, in the order played, counted from the lowest of the first onset: an
    order is the same in every register."""

    strings: tuple[tuple[int, ...], ...]


class Start(NamedTuple):
    """A placing that starts with this onset."""

    onset: Onset


RECENT = 5
"""How many onsets back a string is still looked at that has just sounded: what the ear holds of a figure."""


class Early(NamedTuple):
    """A string that a placing sets before it is to be played, and that sounded not long before the placing starts.

    ``ago``: how many onsets before the placing starts it was struck (1 to RECENT); ``haste``: of the slowest step
    since.
    """

    string: int
    ago: int
    haste: int


def heard(onset: Onset) -> Onset:
    """An onset as the rules on single onsets see it: wherever it stands in the bar and in the source, and whatever is
    locked there (locks leave no choice, they cost nothing)."""
    return onset._replace(keys=(), locks=(), orders=(), stress=0)


class Strike(NamedTuple):
    """One onset of a placing, as it is :func:`heard`. ``first``: the placing starts with it; ``shape``: how many
    strings the placing has; ``glide``: the direction of its glissando (1 up, −1 down, 0 none)."""

    onset: Onset
    fingers: tuple[int, ...]
    shape: int
    first: bool
    glide: int
    reach: Reach


class Move(NamedTuple):
    """Two onsets running. Strings are counted from the lowest of ``before``: a move is the same in every register.

    ``glide``: a glissando leads from the one to the other.
    """

    before: tuple[int, ...]
    before_fingers: tuple[int, ...]
    after: tuple[int, ...]
    after_fingers: tuple[int, ...]
    haste: int
    grace: bool = False
    glide: bool = False

    @property
    def single(self) -> bool:
        """Whether both are single notes."""
        return len(self.before) == 1 and len(self.after) == 1

    @property
    def leap(self) -> int:
        """Strings from the one single note to the other, up positive."""
        return self.after[0] - self.before[0]


class Form(NamedTuple):
    """What the next placing sees of a shape: its fingers, and how many strings lie between neighbours (1 is a 2nd).

    Both are empty where there is nothing to compare: four fingers have no choice.
    """

    fingers: tuple[int, ...]
    gaps: tuple[int, ...]


class Change(NamedTuple):
    """The forms of one placing and of the next one, and the haste between them."""

    before: Form
    after: Form
    haste: int


NO_FORM = Form((), ())


def form_of(strings: tuple[int, ...], fingers: tuple[int, ...]) -> Form:
    """The form of a placing on ``strings`` (ascending)."""
    if len(strings) == 4:
        return NO_FORM
    return Form(fingers, tuple(high - low for low, high in pairwise(strings)))


def form_at_jump(strings: tuple[int, ...], fingers: tuple[int, ...]) -> Form:
    """The form at a jump, where the onset alone is seen: of a single note nobody knows what it is placed with."""
    return NO_FORM if len(strings) == 1 else form_of(strings, fingers)
