"""Which staves are a harpist's, and which of them are one player's."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

from ..score.model import Score, Staff
from .instruments import Instrument, instrument
from .model import Hand
from .names import asked_for, staff_names
from .ossias import guessed_ossias, said_ossias
from .words import saying, word_set

_NOT_FOR_STRINGS = word_set(
    """
    DrumStaff RhythmicStaff TabStaff KievanStaff MensuralStaff PetrucciStaff
    VaticanaStaff FretBoards ChordNames Dynamics Lyrics Devnull
    """
)


class Players(NamedTuple):
    """For each staff of a score the number of its player, and whether it is the harp's at all.

    ``ossias`` are the indices of staves that stand beside others, ``guessed`` those of them that don't say so.
    """

    numbers: tuple[int, ...]
    harp: tuple[bool, ...]
    ossias: frozenset[int]
    guessed: frozenset[int]

    def staves(self, player: int) -> list[int]:
        """The indices of a player's staves, in score order."""
        return [index for index, number in enumerate(self.numbers) if number == player and self.harp[index]]


def players(score: Score, names: Sequence[str] = ()) -> Players:
    """Players of a score; ``names`` are those of the harp's staves, where the user has said them.

    Each PianoStaff or GrandStaff is one player; other staves are one player together, unless their instrument names
    differ, or the file is one of bare variables, each of which is by itself. An ossia that says that it is one is a
    player of its own, since it is played instead of the rest.

    Where the user's names mean staves of this score, these are the harp's, and so is what belongs to their player: the
    rest of their group, or staves that are named for a hand. Else, where something is named after the harp, that is
    the harp's, with staves beside it that name a hand; else every group whose names are not another instrument's (or,
    if all are, every group: harpists play from piano music); else, without a group, the staves named for two hands, or
    all that are not another instrument's. Cues, ossias and staves for drums, rhythms, tablature and chant are not the
    harp's, unless an ossia is named by the user. Source: common practice, no source.
    """
    said = said_ossias(score)
    numbers = _numbers(score, said)
    guessed = guessed_ossias(score, numbers) - said
    ossias = said | guessed
    strings = frozenset(index for index, staff in enumerate(score.staves) if staff.kind not in _NOT_FOR_STRINGS)
    asked = asked_for(score, names, ossias) & strings
    played = asked | _beside(score, asked, numbers) if asked else _found(score)
    return Players(
        numbers,
        tuple(index in played & strings and index not in ossias - asked for index in range(len(numbers))),
        ossias,
        guessed,
    )


Unit = tuple[str, int]


def _unit(score: Score, index: int) -> Unit:
    group = score.staves[index].group
    return ("staff", index) if group is None else ("group", group)


def _units(score: Score) -> dict[Unit, list[Staff]]:
    units: dict[Unit, list[Staff]] = {}
    for index, staff in enumerate(score.staves):
        units.setdefault(_unit(score, index), []).append(staff)
    return units


def _unit_names(score: Score, staves: list[Staff]) -> list[str]:
    return [name for staff in staves for name in staff_names(score, staff)]


def _found(score: Score) -> frozenset[int]:
    """The staves that are the harp's where the user has not said which."""
    chosen = _chosen(score, _units(score))
    return frozenset(index for index in range(len(score.staves)) if _unit(score, index) in chosen)


def _chosen(score: Score, units: dict[Unit, list[Staff]]) -> set[Unit]:
    said = {unit: instrument(_unit_names(score, staves)) for unit, staves in units.items()}
    named = {unit for unit in units if said[unit] is Instrument.HARP}
    open_to_harp = {unit for unit in units if said[unit] is not Instrument.OTHER}
    groups = {unit for unit in units if unit[0] == "group"}
    hands = {unit: _hands_named(score, staves) for unit, staves in units.items() if unit in open_to_harp - groups}
    if score.loose:
        return open_to_harp
    if named:
        return named | ({unit for unit, hand in hands.items() if hand} if named - groups else set())
    if groups:
        return groups & open_to_harp or groups
    if set().union(*hands.values()) == {Hand.RIGHT, Hand.LEFT}:
        return {unit for unit, hand in hands.items() if hand}
    return open_to_harp


def _beside(score: Score, asked: Collection[int], numbers: Sequence[int]) -> frozenset[int]:
    """What the players of some staves play with these: the rest of a group, or staves that are named for a hand."""
    groups = {score.staves[index].group for index in asked} - {None}
    others = {numbers[index] for index in asked if score.staves[index].group is None}
    return frozenset(
        index
        for index, staff in enumerate(score.staves)
        if (staff.group in groups if staff.group is not None else _named_for_hand(score, staff, numbers[index], others))
    )


def _named_for_hand(score: Score, staff: Staff, number: int, players: Collection[int]) -> bool:
    return number in players and bool(_hands_named(score, [staff])) and _is_no_others(score, staff)


def _is_no_others(score: Score, staff: Staff) -> bool:
    return instrument(staff_names(score, staff)) is not Instrument.OTHER


def _hands_named(score: Score, staves: list[Staff]) -> set[Hand]:
    return {found.hand for name in _unit_names(score, staves) if (found := saying(name))}


def _numbers(score: Score, ossias: Collection[int]) -> tuple[int, ...]:
    instruments = {staff.instrument for staff in score.staves if staff.group is None and staff.instrument}
    keys: dict[tuple[str, object], int] = {}
    numbers = []
    last: str | None = None
    for index, staff in enumerate(score.staves):
        if index in ossias:
            key: tuple[str, object] = ("ossia", index)
        elif staff.group is not None:
            key = ("group", staff.group)
        elif score.loose:
            key = ("variable", index)
        else:
            last = staff.instrument or last
            key = ("instrument", last if len(instruments) > 1 else None)
        numbers.append(keys.setdefault(key, len(keys)))
    return tuple(numbers)
