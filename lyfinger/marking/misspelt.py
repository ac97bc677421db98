"""Names in ``[hands]`` that mean nothing in the scores of a run, but are nearly one that does.

A configuration serves a whole repository, so a name that one piece doesn't have is no fault by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ..config import Config
from ..hands.model import Hands
from ..hands.names import means, staff_called
from ..score.model import Score
from ..source.messages import Message, Severity

MISSPELT = "unknown-hand-name"
"""The rule that the warnings bear."""

NEARNESS = 0.75
"""How alike two names are, from 0 to 1, for one to be taken for a slip of the pen of the other."""


class Met(NamedTuple):
    """What the scores of a run have of the names in ``[hands]``: ``used`` are the keys that told a hand, ``names`` what
    staves, voices and variables are called, ``staves`` what staves are called by a user."""

    used: frozenset[str] = frozenset()
    names: frozenset[str] = frozenset()
    staves: frozenset[str] = frozenset()

    def and_then(self, other: Met) -> Met:
        """The same of these scores and others."""
        return Met(self.used | other.used, self.names | other.names, self.staves | other.staves)


def names_met(scores: Sequence[Score], hands: Iterable[Hands], config: Config) -> Met:
    """The names that the scores have, as far as there are settings to hold against them."""
    if not config.hands and not config.staves:
        return Met()
    return Met(
        frozenset(name for item in hands for name in item.settings),
        _names(scores),
        frozenset(
            name for score in scores for index in range(len(score.staves)) for name in staff_called(score, index)
        ),
    )


def misspelt(met: Met, config: Config) -> Iterator[Message]:
    """A warning for each name of ``[hands]`` that is not, but nearly, the name of a staff, voice or variable, and for
    each of ``hands.staves`` that is not, but nearly, what a staff is called."""
    yield from _misspelt_hands(met, config)
    yield from _misspelt_staves(met, config)


def _misspelt_hands(met: Met, config: Config) -> Iterator[Message]:
    unused = [name for name in config.hands if name not in met.used]
    if not unused:
        return
    from difflib import get_close_matches  # only where something is wrong

    known = sorted(met.names)
    for name in unused:
        plain = name.removesuffix(":up").removesuffix(":down")
        near = get_close_matches(plain, known, 1, NEARNESS)
        place = config.places.get(f"hands.{name}")
        if place is not None and plain not in known and near:
            text = f'nothing is called "{plain}" here; is "{near[0]}" meant?'
            yield Message(Severity.WARNING, place, text, MISSPELT)


def _misspelt_staves(met: Met, config: Config) -> Iterator[Message]:
    known = sorted(met.staves)
    unused = [name for name in config.staves if not any(means(name, [one]) for one in known)]
    if not unused:
        return
    from difflib import get_close_matches

    small = {one.casefold(): one for one in known}
    for name in unused:
        near = get_close_matches(name.casefold(), small, 1, NEARNESS)
        if near:
            text = f'no staff is called "{name}" here; is "{small[near[0]]}" meant?'
            yield Message(Severity.WARNING, config.places["hands.staves"], text, MISSPELT)


def _names(scores: Iterable[Score]) -> frozenset[str]:
    found: set[str] = set()
    for score in scores:
        for staff in score.staves:
            found.update(name for name in (staff.name, staff.label, *staff.variables) if name)
        for voice in score.voices:
            found.update(name for name in (voice.name, voice.label, *voice.variables) if name)
    return frozenset(found)
