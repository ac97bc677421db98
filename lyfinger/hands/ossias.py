"""Ossias and cues: staves that sound instead of the music that they stand beside, not with it.

Said: a name or a kind with a word for it (``ossia``, ``OssiaStaff``, ``cue``), or that the staff is aligned above or
below another one (``alignAboveContext``). Guessed: the staff begins in mid-piece beside one of the same player's that
goes on, in a clef for the same hand, and no name says which hand it is for. Source: common practice, no source; a
second staff for the other hand, which harp parts open for a few bars, has its clef.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from ..score.model import Score, Staff
from .clefs import clef_at, clef_hand
from .instruments import is_alternative
from .names import staff_names
from .words import saying


def said_ossias(score: Score) -> frozenset[int]:
    """The staves (indices) of a score that say of themselves that they are an ossia or hold cues."""
    return frozenset(
        index
        for index, staff in enumerate(score.staves)
        if staff.aligned or is_alternative([staff.kind, *staff_names(score, staff)])
    )


def guessed_ossias(score: Score, players: Sequence[int]) -> frozenset[int]:
    """The staves (indices) that must be one by where they begin; ``players`` has the player of each staff."""
    late = [index for index, staff in enumerate(score.staves) if staff.begins and not _names_hand(staff)]
    if not late or score.loose:
        return frozenset()
    ends = _ends(score)
    return frozenset(
        index
        for index in late
        if any(
            players[other] == players[index] and _goes_on_beside(score, other, index, ends)
            for other in range(len(score.staves))
        )
    )


def _names_hand(staff: Staff) -> bool:
    return any(saying(name) for name in (staff.name, *staff.variables) if name)


def _goes_on_beside(score: Score, other: int, late: int, ends: Mapping[int, Fraction]) -> bool:
    begins = score.staves[late].begins or Fraction(0)
    if (score.staves[other].begins or Fraction(0)) >= begins or ends.get(other, begins) <= begins:
        return False
    return clef_hand(clef_at(score, other, begins)) is clef_hand(clef_at(score, late, begins))


def _ends(score: Score) -> dict[int, Fraction]:
    """The end of the last note or rest of each staff that has any."""
    ends: dict[int, Fraction] = {}
    lasting = [
        *((note.staff, note.moment + note.duration) for note in score.notes),
        *((silence.staff, silence.moment + silence.duration) for silence in score.silences),
    ]
    for staff, end in lasting:
        ends[staff] = max(ends.get(staff, end), end)
    return ends
