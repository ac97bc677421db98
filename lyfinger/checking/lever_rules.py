"""Rules on levers: what no lever gives, and changes for which no hand is free."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..score.pitch import twin
from ..score.tempo import pace
from ..source.messages import Message, Severity
from .draft import Draft, Part, message

if TYPE_CHECKING:  # loaded by the rules themselves
    from ..pedals.levers import LeverPlan


def no_lever(draft: Draft) -> Iterator[Message]:
    """A note that no lever gives.

    Applies when: the harp has levers, and a note is neither what its string is tuned to nor a semitone above.
    Says: the note, what its string gives, and the twin that a lever gives. An error.
    Source: [P] D. Perrett, Tips on composing for harp (each lever raises its own string one semitone; usual open tuning
    E♭ major). The player's own tuning is a setting.
    """
    if not draft.reach.harp.levers:
        return
    from ..pedals.levers import gives, tuning

    strings = tuning(draft.pedals.tuning)
    for part, plan in _lever_plans(draft):
        for note in plan.impossible:
            if abs(note.pitch.alter) <= 1 and note.pitch.alter.denominator == 1:
                other = twin(note.pitch)
                way = f"; write {other.name}" if other is not None and gives(strings, other) else ""
                text = f"{note.pitch.name}: no lever gives it in this tuning{way}"
                yield message(part.score, note, Severity.ERROR, "no-lever", text)


def lever_without_hand(draft: Draft) -> Iterator[Message]:
    """A lever that has to move while both hands play.

    Applies when: the harp has levers, and between two notes of one string that are altered differently neither hand is
    free for long enough to move its lever, one lever after the other.
    Says: the lever and where it must have moved. A warning: leave one of the hands a rest.
    Source: [P] D. Perrett, Tips on composing for harp (levers are moved by hand, mostly the left). What a hand needs
    for one lever is from memory.
    """
    for part, plan in _lever_plans(draft):
        for change in plan.changes:
            if change.hand is None:
                way = "up" if change.up else "down"
                lever = f"the lever of {change.before.pitch.name} {way} for {change.after.pitch.name}"
                text = f"no hand is free to put {lever}"
                yield message(part.score, change.after, Severity.WARNING, "lever-without-hand", text)


def _lever_plans(draft: Draft) -> Iterator[tuple[Part, LeverPlan]]:
    """The plan of each player's levers, worked out once for a draft."""
    if not draft.reach.harp.levers:
        return
    from ..pedals.levers import plan_levers, tuning

    if "levers" not in draft.memo:
        strings = tuning(draft.pedals.tuning)
        draft.memo["levers"] = [
            (part, plan_levers(part.score, part.hands, player, part.pace or pace(part.score), strings))
            for part in draft.parts
            for player in sorted({player for player in part.hands.players if player is not None})
        ]
    yield from draft.memo["levers"]
