"""What has to be said otherwise to engravers older than the pinned one: 2.24, and 2.25 before 2.25.12.

``events.ily`` stays as it is, byte for byte: rulings are kept under its digest.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from .engraver import own_files

HERE = Path(__file__).resolve().parent
EVENTS = HERE / "events.ily"

_SCORE_CONTEXT = re.compile(r"^  \\context \{ \\(\w+) .*\n", re.MULTILINE)
_TAKEN_FROM_PAPER = "(eq? 'property-defaults (car pair))"


@cache
def contexts_known() -> frozenset[str]:
    """The names of the contexts that the engraver defines itself."""
    text = (own_files() / "ly" / "engraver-init.ly").read_text("utf-8")
    return frozenset(re.findall(r'\\name "?(\w+)', text))


def events_settings(folder: Path) -> Path:
    """``events.ily``, or, for an engraver that can't read it, a copy of it in ``folder`` that it can.

    An older engraver lacks a score context, and takes its fonts from two other variables of the paper.
    """
    text = EVENTS.read_text("utf-8")
    if contexts_known() >= set(_SCORE_CONTEXT.findall(text)):
        return EVENTS
    text = _SCORE_CONTEXT.sub(lambda match: match[0] if match[1] in contexts_known() else "", text)
    before, after = text.split(_TAKEN_FROM_PAPER)
    text = f"{before}(memq (car pair) '(property-defaults fonts text-font-defaults)){after}"
    copied = folder / EVENTS.name
    copied.write_text(text.replace('"json.ily"', f'"{(HERE / "json.ily").as_posix()}"'), encoding="utf-8")
    return copied
