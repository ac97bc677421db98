"""``lyfinger diff``: which digits changed between two versions of a part, and which notes, bar by bar."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence

from ..marking.comparing import Change, Difference, Spot, differences
from ..marking.passages import HandPassage
from ..marking.plan import hand_passages, without_digits
from ..score.fields import note_fields
from ..score.spoken import bar_and_beat
from ..source.library import STANDARD_INPUT
from ..source.messages import Refused, one_line
from .exit import Exit
from .listing import listed
from .session import open_sessions, say_messages
from .streams import write_text


def diff(options: argparse.Namespace) -> int:
    """Run ``lyfinger diff``; returns the exit status. Raises Refused."""
    if options.old == options.new == STANDARD_INPUT:
        raise Refused("diff: only one of both can be standard input")
    beside = os.path.dirname(options.stdin_filename or "" if options.new == STANDARD_INPUT else options.new)
    old = _passages(options, options.old, [beside] if beside else [])
    new = _passages(options, options.new, [])
    found = differences(old, new)
    if options.format == "json":
        write_text(listed(differences=map(_fields, found)))
    else:
        write_text("".join(f"{_line(item)}\n" for item in found))
    return Exit.FOUND if found else Exit.DONE


def _passages(options: argparse.Namespace, name: str, beside: Sequence[str]) -> Sequence[HandPassage]:
    """The hands of one version; what it includes is also looked for in the folders ``beside``, last of all."""
    own = argparse.Namespace(**{**vars(options), "include_dirs": [*options.include_dirs, *beside]})
    sessions = open_sessions(own, [name], planner=without_digits)
    say_messages(sessions)
    return [passage for session in sessions for passage in hand_passages(session.plan, session.config)]


def _line(item: Difference) -> str:
    spot = item.spot
    where = ", ".join(filter(None, (bar_and_beat(spot.score, spot.note), f"{item.hand} hand", spot.note.pitch.name)))
    again = f" (so too in {_bars(spot.again)})" if spot.again else ""
    return one_line(f"{spot.note.source.place}: {where}: {_what(item)}{again}")


def _what(item: Difference) -> str:
    if item.change is Change.DIGIT and item.old and item.new:
        return f"{_digits(item.old) or 'no digit'} → {_digits(item.new) or 'no digit'}"
    digits = _digits(item.spot)
    happened = "new note" if item.change is Change.NOTE_NEW else "note gone"
    return f"{happened}, with {digits}" if digits else happened


def _digits(spot: Spot) -> str:
    return "-".join(spot.digits)


def _bars(numbers: Sequence[int]) -> str:
    return f"bar {numbers[0]}" if len(numbers) == 1 else f"bars {', '.join(map(str, numbers))}"


def _fields(item: Difference) -> dict[str, object]:
    """A version that lacks the note has null."""
    return {"change": item.change, "hand": item.hand, "old": _spot(item.old), "new": _spot(item.new)}


def _spot(spot: Spot | None) -> dict[str, object] | None:
    if spot is None:
        return None
    return {
        **note_fields(spot.score, spot.note),
        "pitch": spot.note.pitch.name,
        "digits": list(spot.digits),
        "also_in_bars": list(spot.again),
    }
