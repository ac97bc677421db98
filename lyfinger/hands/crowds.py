"""More than four notes for one hand: the outer ones pass to the other hand, if it is free.

Applies when: one hand would pluck five or more strings at one moment. Four at most is published (N. Rimsky-Korsakov,
*Principles of Orchestration*; E. Volpé Bligh, *Writing for the Pedal Harp*): more needs both hands.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from ..score.model import Note, Score
from ..source.messages import Message, Severity
from .model import Hand

FINGERS = 4
#: Strings, both ends counted, that a chord shared out to the hands should not be wider than: a tenth is common
#: (P: Harp Legacy Project; K. Johnson). Only the choice of how many notes pass depends on it.
WIDE = 10


class Crowd(NamedTuple):
    """What became of one crowded moment: the notes (indices) that pass to the other hand, or that stay unmarked."""

    passed: tuple[int, ...]
    crowded: tuple[int, ...]
    message: Message


def crowds(score: Score, hands: Sequence[Hand | None], players: Sequence[int | None]) -> list[Crowd]:
    """Every crowded moment of a score, in order of time, player and hand."""
    moments: dict[tuple[Fraction, Fraction, int], dict[Hand, list[int]]] = {}
    for index in _where_many_sound(score):
        note, hand, player = score.notes[index], hands[index], players[index]
        if note.plucked and hand is not None and player is not None:
            moments.setdefault((note.moment, note.grace, player), {}).setdefault(hand, []).append(index)
    many = [(at, found) for at, found in moments.items() if any(len(notes) > FINGERS for notes in found.values())]
    return [
        _settle(score, hand, by_hand)
        for _, by_hand in sorted(many, key=lambda item: item[0])
        for hand in sorted(by_hand, reverse=True)
        if len({score.notes[index].pitch.string for index in by_hand[hand]}) > FINGERS
    ]


def _where_many_sound(score: Score) -> list[int]:
    """The notes (indices) that begin together with more than a hand can pluck."""
    moments = [moment for moment, _ in score.times]
    many = [at for at in range(len(moments) - FINGERS) if moments[at] == moments[at + FINGERS]]
    return sorted({index for at in many for index in range(at, at + FINGERS + 1)})


def _settle(score: Score, hand: Hand, by_hand: dict[Hand, list[int]]) -> Crowd:
    notes = score.notes
    listed = sorted(by_hand[hand], key=lambda index: (notes[index].pitch.string, notes[index].order))
    first = notes[min(listed, key=lambda index: notes[index].order)]
    strings = sorted({notes[index].pitch.string for index in listed})
    what = f"{len(strings)} notes at once for the {hand} hand, four at most"
    obstacle = _obstacle(score, hand, by_hand, len(strings))
    if obstacle:
        text = f"{what}: {obstacle}, so thin the chord; not marked"
        return Crowd((), tuple(listed), _message(score, Severity.ERROR, first, text, "four-fingers"))
    going = _outer(strings, hand)
    passed = tuple(index for index in listed if notes[index].pitch.string in going)
    number = "the lowest goes" if len(going) == 1 else f"the lowest {len(going)} go"
    number = number if hand is Hand.RIGHT else number.replace("lowest", "highest")
    text = f"{what}: {number} to the {hand.other} hand, which is free"
    return Crowd(passed, (), _message(score, Severity.WARNING, first, text, "passed-to-other-hand"))


def _obstacle(score: Score, hand: Hand, by_hand: dict[Hand, list[int]], strings: int) -> str | None:
    """Why the other hand can't help; None if it can."""
    if hand.other in by_hand:
        return f"the {hand.other} hand plays too"
    if strings > 2 * FINGERS:
        return "both hands together have eight fingers"
    if score.loose and score.staves[score.notes[by_hand[hand][0]].staff].group is None:
        return f"what the {hand.other} hand plays meanwhile is not known here"
    return None


def _outer(strings: list[int], hand: Hand) -> frozenset[int]:
    """The fewest outer strings to give away that leave each hand at most four, and a tenth or less where it can be."""
    fewest = len(strings) - FINGERS
    low_first = strings if hand is Hand.RIGHT else strings[::-1]
    for count in range(fewest, FINGERS + 1):
        if all(abs(part[0] - part[-1]) < WIDE for part in (low_first[:count], low_first[count:]) if part):
            return frozenset(low_first[:count])
    return frozenset(low_first[:fewest])


def _message(score: Score, severity: Severity, note: Note, text: str, rule: str) -> Message:
    return Message(severity, note.source.place, text, rule, bar=score.bar_number(note))
