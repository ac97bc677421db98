"""What stands at one time of a player's part: the plucks, the marks, what sounds on, and where a mark can stand."""

from __future__ import annotations

from typing import NamedTuple

from ..score.model import Note
from ..score.performing import Time
from ..source.text import Place
from .letters import Setting
from .marks import Mark

Strings = dict[int, list[Note]]
_NONE: frozenset[int] = frozenset()


class Anchor(NamedTuple):
    """A note or rest at which a mark can stand: the mark goes to ``behind``, an offset in the file of ``place``.

    ``staff`` is an index into the score's staves, ``side`` where the text goes (1 above, -1 below).
    """

    place: Place
    behind: int
    staff: int
    side: int


class Glissando(NamedTuple):
    """A glissando from one moment (index) to another; ``settled`` where a diagram before it shows its setting."""

    first: int
    last: int
    note: Note
    setting: Setting
    settled: bool


class Moment:
    """What one player does at one time; ``at`` is that time (without its grace part) on the grid of the course.

    ``plucks`` are the notes plucked, by step. ``wanted`` are the alterations that a glissando asks for. ``marked`` is
    what marks in the source set here, ``marks`` the marks themselves. ``under`` names the note of each letter that
    began before and sounds on, ``let_ring`` those of them that only ring. ``ended`` is how long ago (whole ms) each
    letter's last note ended; these three tell only of letters that may move. ``diagram`` where one stands here,
    ``opening`` where it is the one that shows the start.
    """

    __slots__ = (
        "anchors",
        "at",
        "diagram",
        "ended",
        "let_ring",
        "marked",
        "marks",
        "opening",
        "plucks",
        "time",
        "under",
        "wanted",
    )

    def __init__(self, time: Time, at: int) -> None:
        self.time = time
        self.at = at
        self.plucks: Strings = {}
        self.wanted: dict[int, int] = {}
        self.marked: dict[int, int] = {}
        self.marks: list[tuple[Place, Mark]] = []
        self.anchors: list[Anchor] = []
        self.under: dict[int, Note] = {}
        self.let_ring = _NONE
        self.ended: dict[int, int] = {}
        self.diagram = False
        self.opening = False

    @property
    def tells(self) -> frozenset[int]:
        """The letters of which a mark here tells that they move. The diagram of the start tells none: it shows how the
        pedals are set before playing, and where the music comes back to it, a change has its own mark."""
        if not self.marks:
            return _NONE
        marks = (mark for _, mark in self.marks if not (mark.diagram and self.opening))
        return frozenset(step for mark in marks for step in mark.settings)

    def alterations(self, step: int) -> list[int]:
        """The alterations of a letter that are needed here, lowest first; none where it is not plucked."""
        found = {note.pitch.alter.numerator for note in self.plucks.get(step, ())}
        return sorted(found) if found else [self.wanted[step]] if step in self.wanted else []
