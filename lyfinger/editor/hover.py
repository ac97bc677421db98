"""What is said about the note under the pointer."""

from __future__ import annotations

from ..explaining.as_text import as_text
from ..explaining.places import Unfingered, around, note_at
from ..explaining.reasons import explained
from ..source.messages import Refused
from ..source.text import Place
from .actions import MOST_WORK
from .analysis import Analysis


def hover(known: Analysis, place: Place) -> str | None:
    """The reasons for the digits around a note, as ``lyfinger explain`` words them; None where no note stands."""
    try:
        note_at(known.root, place)
    except Refused:
        return None
    try:
        near = around(known.plan, known.phrases, known.root, place)
    except Refused as why:
        return why.text
    return as_text([near if isinstance(near, Unfingered) else explained(near, MOST_WORK)])
