"""The hands of a score: who plays which note, and what had to be said about it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..score.model import Score, Staff, Unmarkable
from ..source.messages import Message, Severity
from .crowds import crowds
from .evidence import Decision, Witness
from .model import Evidence, Hand, Hands, Reason
from .players import Players, players

_FOR_ANY_STAFF = (Evidence.SETTING, Evidence.COMMENT)


def assign(score: Score, config_hands: Mapping[str, str], staves: Sequence[str] = ()) -> Hands:
    """The hand of every note of a score; ``staves`` are the user's names for the harp's staves, if any were given.

    ``config_hands`` is ``[hands]``: the id of a context, or the name of a variable, to ``"right"`` or ``"left"``. The
    most specific name wins: the voice, its variables (innermost first), the staff where the note is printed, its
    variables, its group. ``"upper:up"`` and ``"upper:down"`` are for the notes of ``upper`` whose voice has stems of
    that direction of its own (``\\\\``, ``\\voiceOne``, ``\\stemUp``), so that one staff can hold both hands.

    Where nothing is set, the evidence is, in this order: a comment in the music (``% lyfinger: left``), a hand word
    over the notes (R.H., m.s.), names, the order of the staves in their group, the clef. A staff that is not the
    harp's has no hands, save where a setting or a comment gives it one; in a file of bare variables only names (and
    what is stronger) count.
    """
    team = players(score, staves)
    witness = Witness(score, config_hands, team)
    decisions = [_unless_foreign(witness.decide(note), team.harp[note.staff]) for note in score.notes]
    hands = [decision.hand for decision in decisions]
    numbers = [
        team.numbers[note.staff] if hand is not None else None for note, hand in zip(score.notes, hands, strict=True)
    ]
    settled = crowds(score, _plucked_only(score, hands), numbers)
    passed = frozenset(index for crowd in settled for index in crowd.passed)
    return Hands(
        hands=tuple([hand.other if hand and index in passed else hand for index, hand in enumerate(hands)]),
        reasons=tuple([decision.reason for decision in decisions]),
        players=tuple(numbers),
        passed=passed,
        crowded=frozenset(index for crowd in settled for index in crowd.crowded),
        settings=frozenset(witness.used),
        messages=(*_unmarked_staves(score, team, decisions), *(crowd.message for crowd in settled)),
    )


def staff_hands(score: Score, config_hands: Mapping[str, str], staves: Sequence[str] = ()) -> list[Hand | None]:
    """For each note of a score the hand of the staff where it is printed, whoever plays it; arguments as for
    :func:`assign`."""
    witness = Witness(score, config_hands, players(score, staves))
    return [witness.staff_hand(note) for note in score.notes]


def _unless_foreign(decision: Decision, harp: bool) -> Decision:
    if harp or decision.reason.evidence in _FOR_ANY_STAFF:
        return decision
    return Decision(None, Reason(Evidence.NOT_HARP))


def _ossia(staff: Staff, name: str, guessed: bool) -> Message:
    """What is taken for an ossia because of where it begins may be none: that is worth a warning."""
    why = "it begins in mid-piece beside another staff, as an ossia does" if guessed else "it is an ossia"
    text = f"{name} is not marked: {why} (--staves or [hands] has it marked)"
    return Message(Severity.WARNING if guessed else Severity.NOTE, staff.place, text, "ossia")


def _plucked_only(score: Score, hands: Sequence[Hand | None]) -> list[Hand | None]:
    return [
        None if note.source.unmarkable is Unmarkable.NOT_PLUCKED else hand
        for note, hand in zip(score.notes, hands, strict=True)
    ]


def _unmarked_staves(score: Score, team: Players, decisions: Sequence[Decision]) -> Iterator[Message]:
    """One note for each staff or variable with plucked notes, none of which has a hand.

    A warning for a variable that is left out where others of its file are marked: nothing else tells them apart.
    """
    with_hand = {note.staff for note, found in zip(score.notes, decisions, strict=True) if found.hand is not None}
    played = {note.staff for note in score.notes if note.plucked}
    for index in sorted(played - with_hand):
        staff = score.staves[index]
        name = staff.variables[-1] if score.loose and staff.variables else staff.label
        if team.harp[index]:
            text = f"{name} is not marked: its name says no hand (name it in [hands])"
            severity = Severity.WARNING if score.loose and with_hand else Severity.NOTE
            yield Message(severity, staff.place, text, "no-hand")
        elif index in team.ossias:
            yield _ossia(staff, name, index in team.guessed)
        else:
            text = f"{name} is not marked: it is not the harp's (if it is, name it with --staves or in [hands])"
            yield Message(Severity.NOTE, staff.place, text, "not-the-harp")
