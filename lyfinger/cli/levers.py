"""The levers of a session, as plain values and as lines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..pedals.levers import LeverChange, LeverPlan, plan_levers, tuning
from ..score.model import Score
from .session import Session
from .when import spoken_time, when


def lever_reports(session: Session) -> Iterator[dict[str, Any]]:
    """What each player's levers do."""
    strings = tuning(session.config.tuning)
    for root in session.plan.roots:
        for score, hands, pace in zip(root.scores, root.hands, root.paces, strict=True):
            for player in sorted({player for player in hands.players if player is not None}):
                plan = plan_levers(score, hands, player, pace, strings)
                yield _report(score, player, plan)


def _report(score: Score, player: int, plan: LeverPlan) -> dict[str, Any]:
    return {
        "score": str(score.place),
        "player": player + 1,
        "levers": [pitch.name for pitch in plan.start],
        "changes": [_change(score, change) for change in plan.changes],
        "impossible": [{"place": str(note.source.place), "note": note.pitch.name} for note in plan.impossible],
    }


def _change(score: Score, change: LeverChange) -> dict[str, Any]:
    staff = change.after.staff
    return {
        **when(score, change.after.moment, staff),
        "string": change.after.pitch.name,
        "lever": "up" if change.up else "down",
        "hand": change.hand,
        "free": None if change.moment is None else when(score, change.moment, staff),
        "place": str(change.after.source.place),
    }


def lever_lines(report: dict[str, Any]) -> Iterator[str]:
    """The lines of one report."""
    yield f"  levers up before the start: {' '.join(report['levers']) or 'none'}"
    for change in report["changes"]:
        hand = "no hand is free for it"
        if change["hand"]:
            hand = f"{change['hand']} hand, free from {spoken_time(change['free'])}"
        yield f"  {spoken_time(change)}  {change['string']:<4} lever {change['lever']}: {hand}  {change['place']}"
    for one in report["impossible"]:
        yield f"  {one['note']}: no lever gives it in this tuning  {one['place']}"
