"""When something happens, as a player counts: bar and beat."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from ..score.model import Score


def when(score: Score, moment: Fraction, staff: int | None) -> dict[str, Any]:
    """Bar and beat of a moment (whole notes) in a staff, as plain values; None where nothing counts bars."""
    if not score.bars:
        return {"bar": None, "beat": None}
    return {"bar": score.bar_at(moment, staff).number, "beat": str(score.beat_at(moment, staff))}


def spoken_time(item: Mapping[str, Any]) -> str:
    """``bar 3, beat 2``, from what :func:`when` gave."""
    return "unmeasured" if item["bar"] is None else f"bar {item['bar']}, beat {item['beat']}"
