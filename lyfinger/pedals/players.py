"""The plans of a whole score: one for each player that has notes in it."""

from __future__ import annotations

from collections.abc import Mapping

from ..hands.model import Hands
from ..harp.feet import PedalSettings
from ..harp.profile import HarpProfile
from ..score.model import Note, Score
from ..score.tempo import Pace
from .course import Course, course_of


def courses(score: Score, hands: Hands, pace: Pace, harp: HarpProfile, settings: PedalSettings) -> list[Course]:
    """The course of each player of a score, by the player's number."""
    notes: dict[int, list[Note]] = {}
    for note, player, hand in zip(score.notes, hands.players, hands.hands, strict=True):
        if player is not None and (hand is not None or not note.plucked):
            notes.setdefault(player, []).append(note)
    staves = _staves(score, notes)
    return [
        course_of(score, player, notes[player], staves[player], pace, harp, settings)
        for player in sorted(notes)
        if any(note.plucked for note in notes[player])
    ]


def _staves(score: Score, notes: Mapping[int, list[Note]]) -> dict[int, set[int]]:
    """The staves on which a player's notes are printed or begun, and those that are grouped with them."""
    found = {}
    for player, own in notes.items():
        staves = {staff for note in own for staff in (note.staff, note.home)}
        groups = {score.staves[staff].group for staff in staves} - {None}
        found[player] = staves | {index for index, staff in enumerate(score.staves) if staff.group in groups}
    return found
