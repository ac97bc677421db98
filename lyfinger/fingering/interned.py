"""What the tables hand out: one object for all things that cost the same, so that they serve as keys by identity."""

from __future__ import annotations

from collections.abc import Sequence
from operator import itemgetter
from typing import Any

from ..harp.reach import FINGERINGS
from .asking import Asked
from .model import Onset
from .views import Form, form_of, heard

Fingers = tuple[int, ...]

NUMBER: dict[Fingers, int] = {
    fingers: number for same_size in FINGERINGS.values() for number, fingers in enumerate(same_size)
}
"""Where a fingering stands among those of as many strings."""


class End:
    """One end of a placing: the fingers of its first or last onset, and the form of its shape."""

    __slots__ = ("form", "held")

    def __init__(self, held: Fingers, form: Form) -> None:
        self.held = held
        self.form = form


class Grip:
    """A placing's strings with their fingers, and what the shape costs. ``ends`` remembers how it looks to a neighbour
    that knows which of its strings are struck last."""

    __slots__ = ("cost", "ends", "fingers", "of", "strings")

    def __init__(self, strings: tuple[int, ...], fingers: Fingers, cost: int) -> None:
        self.strings = strings
        self.fingers = fingers
        self.cost = cost
        self.of = dict(zip(strings, fingers, strict=True))
        self.ends: dict[tuple[int, ...], End] = {}

    @property
    def form(self) -> Form:
        """What shape-change compares."""
        return form_of(self.strings, self.fingers)


class Heard:
    """What the rules on single onsets see of one, and what they have said of it, by fingers, size of the placing, and
    whether it is its first. ``asked``: those that can count there."""

    __slots__ = ("asked", "costs", "even", "glide", "onset")

    def __init__(self, onset: Onset, glide: int) -> None:
        self.onset = heard(onset)
        self.glide = glide
        self.asked: Asked = ()
        self.costs: dict[tuple[Fingers, int, bool], int] = {}
        self.even: dict[frozenset[Fingers], tuple[int, int] | None] = {}


class Pluck:
    """An onset without its identity: equal onsets of a passage share it. ``allowed`` are its possible fingers.

    ``even``: what it costs for itself (inside a placing, as its first onset) where that is the same for all fingers
    and shapes, as for most single notes; None elsewhere. ``start``: what it costs that a placing starts with it; −1
    until that is asked.
    """

    __slots__ = ("allowed", "even", "glide", "heard", "onset", "start", "strained", "strings")

    def __init__(self, onset: Onset, heard: Heard, glide: int, allowed: frozenset[Fingers], strained: bool) -> None:
        self.onset = onset
        self.heard = heard
        self.glide = glide
        self.allowed = allowed
        self.strained = strained
        self.strings = onset.strings
        self.even: tuple[int, int] | None = None
        self.start = -1


class Passing:
    """Two onsets running, in any register: the same strings apart, with the same haste.

    ``shift_asked`` and ``inside_asked`` are the rules that can count between them, into a new placing and inside one.
    ``shifts`` remembers, for the fingers before, what it costs to pass into a new placing that begins with each of the
    fingerings of the onset after; ``insides`` what it costs inside a placing, by the fingers before and after;
    ``even``: the same where it is one number for all fingers, as between most single notes; -1 elsewhere.
    """

    __slots__ = ("even", "glide", "grace", "haste", "inside_asked", "insides", "new", "old", "shift_asked", "shifts")

    def __init__(self, old: tuple[int, ...], new: tuple[int, ...], haste: int, grace: bool, glide: bool) -> None:
        self.old = old
        self.new = new
        self.haste = haste
        self.grace = grace
        self.glide = glide
        self.shift_asked: Asked = ()
        self.inside_asked: Asked = ()
        self.shifts: dict[Fingers, tuple[int, ...]] = {}
        self.insides: dict[tuple[Fingers, Fingers], int] = {}
        self.even = -1


class Setting:
    """All shapes within reach on some strings, and what of it is the same in every register: the strings counted from
    the lowest, and the fingers."""

    __slots__ = ("costs", "fingers", "grips", "steps")

    def __init__(self, grips: tuple[Grip, ...]) -> None:
        self.grips = grips
        self.costs = [grip.cost for grip in grips]
        self.fingers = tuple([grip.fingers for grip in grips])
        strings = grips[0].strings if grips else ()
        self.steps = tuple([string - strings[0] for string in strings])


class Face:
    """How the shapes on some strings look, in any register, to the placing before: the number of the fingering with
    which each begins, and its form. ``changes`` remembers what it costs to change to each, by form and haste."""

    __slots__ = ("changes", "firsts", "forms")

    def __init__(self, firsts: tuple[int, ...], forms: tuple[Form, ...]) -> None:
        self.firsts = firsts
        self.forms = forms
        self.changes: dict[tuple[Form, int], list[int]] = {}


class Block:
    """The shapes of a setting, what each costs for itself, and the face that they show together."""

    __slots__ = ("costs", "face", "grips")

    def __init__(self, setting: Setting, face: Face) -> None:
        self.grips = setting.grips
        self.costs = setting.costs
        self.face = face


class Entries:
    """The beginnings of the openings at an onset: those of all their faces, one after the other.

    ``firsts`` are the numbers of the fingerings with which they begin; ``by_first`` holds for each number that occurs
    a getter for the entries that have it. ``rows`` remembers what it costs to come to each entry, by passing and the
    end behind it; ``changes`` the part of it that comes from the forms, by form and haste.
    """

    __slots__ = ("by_first", "changes", "faces", "firsts", "rows")

    def __init__(self, faces: tuple[Face, ...]) -> None:
        self.faces = faces
        self.firsts = tuple([first for face in faces for first in face.firsts])
        places: dict[int, list[int]] = {}
        for place, first in enumerate(self.firsts):
            places.setdefault(first, []).append(place)
        # A getter of one place gives no tuple; of the same place twice it does.
        self.by_first: list[tuple[int, Any]] = [(first, itemgetter(at[0], *at)) for first, at in places.items()]
        self.rows: dict[tuple[Passing, End], list[int]] = {}
        self.changes: dict[tuple[Form, int], list[int]] = {}

    def dearest(self, costs: list[int]) -> list[tuple[int, int]]:
        """The dearest of the entries that begin with each fingering: (number of the fingering, cost)."""
        return [(first, max(get(costs))) for first, get in self.by_first]


class Openings:
    """Every way to start a placing at one onset of a chain, up to the onset that completes its shape.

    ``ways`` hold (onsets, grips, costs), the last two side by side; their grips in order are the ``entries``.
    """

    __slots__ = ("entries", "ways")

    def __init__(self, entries: Entries, ways: list[tuple[int, Sequence[Grip], list[int]]]) -> None:
        self.entries = entries
        self.ways = ways
