"""What sounds, collected while the music is walked through, then put in order: ties, staves, bars."""

from __future__ import annotations

from fractions import Fraction
from typing import Any, NamedTuple

from ..score.model import Repeat, SourceNote
from ..score.pitch import Pitch
from .contexts import Context


class Splitting(NamedTuple):
    """How a note is split at bar lines (:mod:`.completion`). ``scale`` is what its notated duration is multiplied by;
    ``unit`` the ``completionUnit`` in whole notes; ``factor`` the ``completionFactor``, None for the default."""

    scale: Fraction
    unit: Fraction | None
    factor: Fraction | None


class Sounding:
    """One printed note on its way into the score; ``tie`` says that a tie begins, ``tied`` that one ends here.
    ``tie_alone``: the tie is this note's, in a chord, and not the whole chord's."""

    __slots__ = (
        "change",
        "duration",
        "grace",
        "marks",
        "moment",
        "order",
        "pitch",
        "side",
        "source",
        "splitting",
        "tie",
        "tie_alone",
        "tied",
        "voice",
    )

    def __init__(
        self,
        source: SourceNote,
        moment: Fraction,
        grace: Fraction,
        duration: Fraction,
        pitch: Pitch,
        voice: Context,
        change: str | None,
        side: int,
        marks: frozenset[str],
        order: int,
        tie: bool = False,
        tied: bool = False,
        splitting: Splitting | None = None,
        tie_alone: bool = False,
    ) -> None:
        self.source = source
        self.moment = moment
        self.grace = grace
        self.duration = duration
        self.pitch = pitch
        self.voice = voice
        self.change = change
        self.side = side
        self.marks = marks
        self.order = order
        self.tie = tie
        self.tied = tied
        self.splitting = splitting
        self.tie_alone = tie_alone


class Gap:
    """A rest or spacer on its way into the score."""

    __slots__ = ("change", "duration", "end", "grace", "marks", "moment", "offset", "spacer", "voice")

    def __init__(
        self,
        offset: int,
        moment: Fraction,
        grace: Fraction,
        duration: Fraction,
        voice: Context,
        change: str | None,
        spacer: bool,
        marks: frozenset[str],
        end: int,
    ) -> None:
        self.offset = offset
        self.moment = moment
        self.grace = grace
        self.duration = duration
        self.voice = voice
        self.change = change
        self.spacer = spacer
        self.marks = marks
        self.end = end


class Stamp:
    """Something that happens at a moment: a timing change, a tempo, a clef, a hand word."""

    __slots__ = ("context", "grace", "moment", "offset", "value", "what")

    def __init__(
        self, moment: Fraction, grace: Fraction, what: str, value: Any, context: Context | None, offset: int
    ) -> None:
        self.moment = moment
        self.grace = grace
        self.what = what
        self.value = value
        self.context = context
        self.offset = offset


Size = tuple[int, int, int]
"""Soundings, gaps and stamps."""


class Collection:
    """All that one score's music gave."""

    __slots__ = ("end", "gaps", "half_ties", "repeats", "soundings", "stamps")

    def __init__(self) -> None:
        self.soundings: list[Sounding] = []
        self.gaps: list[Gap] = []
        self.stamps: list[Stamp] = []
        self.half_ties: list[Sounding | Gap] = []
        """What has a ``\\repeatTie`` outside a chord, which is one for all that its voice plays at the moment."""
        self.repeats: list[Repeat] = []
        self.end: Fraction = Fraction(0)

    def size(self) -> Size:
        """How much has been collected so far."""
        return len(self.soundings), len(self.gaps), len(self.stamps)

    def shift_grace(self, start: Size, stop: Size, by: Fraction) -> None:
        """Moves what was collected between two sizes by a grace length (grace groups end at their main note)."""
        lists: tuple[list[Any], ...] = (self.soundings, self.gaps, self.stamps)
        for collected, first, last in zip(lists, start, stop, strict=True):
            for item in collected[first:last]:
                item.grace += by
