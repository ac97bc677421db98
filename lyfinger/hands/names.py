"""The names that a score gives its staves and voices, and what a user means by one.

A name that the user gives stands for itself, whatever its capitals; ``*``, ``?`` and ``[…]`` stand for other letters,
as in a shell.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from fnmatch import fnmatchcase

from ..score.model import Score, Staff, Voice
from .instruments import is_alternative
from .words import saying

_UNNAMED_GROUP = re.compile(r"(?:(?:Piano|Grand)Staff)?[\d.]*")


def staff_names(score: Score, staff: Staff) -> list[str]:
    """Every name on a staff, most specific first: its id, its variables (innermost first), instrument, group."""
    listed = [staff.name, *reversed(staff.variables), staff.instrument, _group_name(score, staff)]
    return [name for name in listed if name]


def _group_name(score: Score, staff: Staff) -> str | None:
    """The id of the staff's group; a label that only says what kind of group it is names nothing."""
    label = score.groups[staff.group] if staff.group is not None else ""
    return None if _UNNAMED_GROUP.fullmatch(label) else label


def staff_called(score: Score, index: int) -> list[str]:
    """What a user may call a staff: every name on it, its label, and the instrument that it belongs to."""
    staff = score.staves[index]
    listed = [staff.label, *staff_names(score, staff), _instrument(score, index)]
    return list(dict.fromkeys(name for name in listed if name))


def _instrument(score: Score, index: int) -> str | None:
    """The instrument of a staff, which is often written at the first of its player's staves alone."""
    staff = score.staves[index]
    if staff.instrument:
        return staff.instrument
    if staff.group is not None:
        mates = (other.instrument for other in score.staves if other.group == staff.group)
        return next((name for name in mates if name), None)
    if not any(saying(name) for name in staff_names(score, staff)):
        return None
    before = (other.instrument for other in reversed(score.staves[:index]) if other.group is None)
    return next((name for name in before if name), None)


def voice_called(voice: Voice) -> list[str]:
    r"""What a user may call a voice: its id (``1`` to ``4`` between ``\\``), its label, its variables."""
    return list(dict.fromkeys(name for name in (voice.name, voice.label, *voice.variables) if name))


def means(wanted: str, names: Iterable[str]) -> bool:
    """Whether a name that a user gave stands for one of these.

    >>> means("harp*", ["Harp 2"]), means("rh", ["RH"]), means("harp", ["Harp 2"])
    (True, True, False)
    """
    return any(fnmatchcase(name.casefold(), wanted.casefold()) for name in names)


def asked_for(score: Score, wanted: Sequence[str], ossias: Iterable[int]) -> frozenset[int]:
    """The staves (indices) that a user's names stand for.

    An ossia goes by its own names, not by those of its instrument and group, and by a name with ``*`` only where that
    asks for ossias: so the names of a harp leave its ossias aside.
    """
    aside = frozenset(ossias)
    found = set()
    for index, staff in enumerate(score.staves):
        names = staff_called(score, index)
        plain = wanted
        if index in aside:
            names = [name for name in (staff.label, staff.name, *staff.variables) if name]
            plain = [name for name in wanted if not set(name) & set("*?[") or is_alternative([name])]
        if any(means(name, names) for name in plain):
            found.add(index)
    return frozenset(found)
