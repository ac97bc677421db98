"""``lyfinger diff``: which digits changed between two versions of a part, and which notes, bar by bar."""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Sequence

from ..marking.comparing import Change, Difference, Spot, differences
from ..marking.passages import HandPassage
from ..marking.plan import hand_passages, without_digits
from ..score.spoken import bar_and_beat
from ..source.library import STANDARD_INPUT
from ..source.messages import Refused, one_line
from .exit import Exit
from .session import open_sessions, say_messages
from .streams import write_stdout


def diff(options: argparse.Namespace) -> int:
    """Run ``lyfinger diff``; returns the exit status. Raises Refused."""
    if options.old == options.new == STANDARD_INPUT:
        raise Refused("diff: only one of both can be standard input")
    beside = os.path.dirname(options.stdin_filename or "" if options.new == STANDARD_INPUT else options.new)
    old = _passages(options, options.old, [beside] if beside else [])
    new = _passages(options, options.new, [])
    found = differences(old, new)
    text = _as_json(found) if options.format == "json" else "".join(f"{_line(item)}\n" for item in found)
    write_stdout(text.encode("utf-8", "surrogateescape"))
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


def _as_json(found: Sequence[Difference]) -> str:
    """``{"differences": [...]}``, one on each line; a version that lacks the note has null."""
    lines = ",\n".join(json.dumps(_fields(item), ensure_ascii=False) for item in found)
    return f'{{"differences": [\n{lines}\n]}}\n' if found else '{"differences": []}\n'


def _fields(item: Difference) -> dict[str, object]:
    return {"change": item.change, "hand": item.hand, "old": _spot(item.old), "new": _spot(item.new)}


def _spot(spot: Spot | None) -> dict[str, object] | None:
    if spot is None:
        return None
    place = spot.note.source.place
    line, column = place.line_column
    return {
        "file": place.file.name,
        "line": line,
        "column": column,
        "score": spot.score.index + 1,
        "bar": spot.score.bar_number(spot.note),
        "beat": str(spot.score.beat_of(spot.note)) if spot.score.bars else None,
        "pitch": spot.note.pitch.name,
        "digits": list(spot.digits),
        "also_in_bars": list(spot.again),
    }
