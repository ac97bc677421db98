"""Names in ``[hands]`` that mean nothing in the scores of a run, but are nearly one that does.

A configuration serves a whole repository, so a name that one piece doesn't have is no fault by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ..config import Config
from ..hands.model import Hands
from ..hands.names import means, staff_called
from ..score.model import Score
from ..source.messages import Message, Severity

NEARNESS = 0.75
"""How alike two names are, from 0 to 1, for one to be taken for a slip of the pen of the other."""


def misspelt_hands(scores: Sequence[Score], hands: Iterable[Hands], config: Config) -> Iterator[Message]:
    """A warning for each name of ``[hands]`` that is not, but nearly, the name of a staff, voice or variable."""
    used = {name for item in hands for name in item.settings}
    unused = [name for name in config.hands if name not in used]
    if not unused:
        return
    from difflib import get_close_matches  # only where something is wrong

    known = _names(scores)
    for name in unused:
        plain = name.removesuffix(":up").removesuffix(":down")
        near = get_close_matches(plain, known, 1, NEARNESS)
        place = config.places.get(f"hands.{name}")
        if place is not None and plain not in known and near:
            text = f'nothing is called "{plain}" here; is "{near[0]}" meant?'
            yield Message(Severity.WARNING, place, text, "unknown-hand-name")


def misspelt_staves(scores: Sequence[Score], config: Config) -> Iterator[Message]:
    """A warning for each of ``hands.staves`` that is not, but nearly, what a staff is called."""
    known = sorted(
        {name for score in scores for index in range(len(score.staves)) for name in staff_called(score, index)}
    )
    unused = [name for name in config.staves if not any(means(name, [one]) for one in known)]
    if not unused:
        return
    from difflib import get_close_matches

    small = {one.casefold(): one for one in known}
    for name in unused:
        near = get_close_matches(name.casefold(), small, 1, NEARNESS)
        if near:
            text = f'no staff is called "{name}" here; is "{small[near[0]]}" meant?'
            yield Message(Severity.WARNING, config.places["hands.staves"], text, "unknown-hand-name")


def _names(scores: Iterable[Score]) -> list[str]:
    found: set[str] = set()
    for score in scores:
        for staff in score.staves:
            found.update(name for name in (staff.name, staff.label, *staff.variables) if name)
        for voice in score.voices:
            found.update(name for name in (voice.name, voice.label, *voice.variables) if name)
    return sorted(found)
