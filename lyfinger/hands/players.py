"""Which staves are a harpist's, and which of them are one player's."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..score.model import Score, Staff
from .instruments import Instrument, instrument, is_alternative
from .model import Hand
from .words import saying, word_set

_NOT_FOR_STRINGS = word_set(
    """
    DrumStaff RhythmicStaff TabStaff KievanStaff MensuralStaff PetrucciStaff
    VaticanaStaff FretBoards ChordNames Dynamics Lyrics Devnull
    """
)


_UNNAMED_GROUP = re.compile(r"(?:(?:Piano|Grand)Staff)?[\d.]*")


@dataclass(frozen=True, slots=True)
class Players:
    """For each staff of a score the number of its player, and whether it is the harp's at all."""

    numbers: tuple[int, ...]
    harp: tuple[bool, ...]

    def staves(self, player: int) -> list[int]:
        """The indices of a player's staves, in score order."""
        return [index for index, number in enumerate(self.numbers) if number == player and self.harp[index]]


def staff_names(score: Score, staff: Staff) -> list[str]:
    """Every name on a staff, most specific first: its id, its variables (innermost first), instrument, group."""
    listed = [staff.name, *reversed(staff.variables), staff.instrument, _group_name(score, staff)]
    return [name for name in listed if name]


def _group_name(score: Score, staff: Staff) -> str | None:
    """The id of the staff's group; a label that only says what kind of group it is names nothing."""
    label = score.groups[staff.group] if staff.group is not None else ""
    return None if _UNNAMED_GROUP.fullmatch(label) else label


def players(score: Score) -> Players:
    """Players of a score.

    Each PianoStaff or GrandStaff is one player; other staves are one player together, unless their instrument names
    differ, or the file is one of bare variables, each of which is by itself.

    Where something is named after the harp, that is the harp's, with staves beside it that name a hand; else every
    group whose names are not another instrument's (or, if all are, every group: harpists play from piano music);
    else, without a group, the staves named for two hands, or all that are not another instrument's. Cues, ossias and
    staves for drums, rhythms, tablature and chant are never the harp's. Source: common practice, no source.
    """
    units = _units(score)
    said = {number: instrument(_unit_names(score, staves)) for number, staves in units.items()}
    chosen = _chosen(score, units, said)
    return Players(
        _numbers(score),
        tuple(_unit(score, index) in chosen and _is_played(score, staff) for index, staff in enumerate(score.staves)),
    )


def _unit(score: Score, index: int) -> tuple[str, int]:
    group = score.staves[index].group
    return ("staff", index) if group is None else ("group", group)


def _units(score: Score) -> dict[tuple[str, int], list[Staff]]:
    units: dict[tuple[str, int], list[Staff]] = {}
    for index, staff in enumerate(score.staves):
        units.setdefault(_unit(score, index), []).append(staff)
    return units


def _unit_names(score: Score, staves: list[Staff]) -> list[str]:
    return [name for staff in staves for name in staff_names(score, staff)]


def _is_played(score: Score, staff: Staff) -> bool:
    return staff.kind not in _NOT_FOR_STRINGS and not is_alternative(staff_names(score, staff))


def _chosen(
    score: Score, units: dict[tuple[str, int], list[Staff]], said: dict[tuple[str, int], Instrument]
) -> set[tuple[str, int]]:
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


def _hands_named(score: Score, staves: list[Staff]) -> set[Hand]:
    return {found.hand for name in _unit_names(score, staves) if (found := saying(name))}


def _numbers(score: Score) -> tuple[int, ...]:
    instruments = {staff.instrument for staff in score.staves if staff.group is None and staff.instrument}
    keys: dict[tuple[str, object], int] = {}
    numbers = []
    last: str | None = None
    for index, staff in enumerate(score.staves):
        if staff.group is not None:
            key: tuple[str, object] = ("group", staff.group)
        elif score.loose:
            key = ("variable", index)
        else:
            last = staff.instrument or last
            key = ("instrument", last if len(instruments) > 1 else None)
        numbers.append(keys.setdefault(key, len(keys)))
    return tuple(numbers)
