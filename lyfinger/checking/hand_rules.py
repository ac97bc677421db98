"""Rules on what one hand can do: four fingers, in order, as far as it reaches."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from ..fingering.problems import crossed_text, no_finger_text, twice_text
from ..hands.model import Hand
from ..harp.reach import Reach
from ..marking.passages import held_to
from ..score.pitch import string_name
from ..source.messages import Message, Severity
from .draft import Draft, Struck, in_words, interval, message, struck


def four_fingers(draft: Draft) -> Iterator[Message]:
    """Four notes at most for one hand.

    Applies when: a hand has five or more strings to pluck at one moment and the other hand can't take the outer ones.
    Says: how many there are, and why the other hand can't help. An error.
    Source: [P] N. Rimsky-Korsakov, Principles of Orchestration; E. Volpé Bligh, Writing for the Pedal Harp.
    """
    for part in draft.parts:
        yield from (found for found in part.hands.messages if found.rule == "four-fingers")


def passed_to_other_hand(draft: Draft) -> Iterator[Message]:
    """More than four notes, of which the other hand takes the outer ones.

    Applies when: a hand has five or more strings to pluck while the other hand is free.
    Says: how many notes pass to the other hand. A warning: the page says otherwise.
    Source: [P] E. Volpé Bligh, Writing for the Pedal Harp (more than four needs both hands).
    """
    for part in draft.parts:
        yield from (found for found in part.hands.messages if found.rule == "passed-to-other-hand")


def reach(draft: Draft) -> Iterator[Message]:
    """A chord wider than the hand.

    Applies when: thumb and ring finger don't reach over a chord, or no four fingers in order reach its strings, on
    this harp. Rolled or not: the fingers are placed together.
    Says: the lowest and the highest note, the interval, and the note that the other hand could take if it is free. An
    error; a warning where every note has its digit in the source, since somebody has meant it.
    Source: the span belongs to the player's profile; that a tenth is common: [P] Harp Legacy Project; K. Johnson,
    Composing for the Concert Harp. The millimetres are calibrated, not published.
    """
    for one in struck(draft):
        strings = one.onset.strings
        if 1 < len(strings) <= 4 and not draft.reach.takes(strings):
            text = f"{_width(one)} is beyond the {one.hand} hand's reach{_way_out(one, draft.reach)}"
            yield one.message(Severity.ERROR if None in one.onset.locks else Severity.WARNING, "reach", text)


def _width(one: Struck) -> str:
    low, high = one.onset.strings[0], one.onset.strings[-1]
    return f"{string_name(low)} to {string_name(high)}, {interval(high - low + 1)},"


def _way_out(one: Struck, reach: Reach) -> str:
    """What the other hand could take, from the outer end, if it is free and that is enough."""
    strings = one.onset.strings
    if one.other_hand_is_free():
        for count in range(1, len(strings)):
            going, staying = strings[:count], strings[count:]
            if one.hand is Hand.LEFT:
                staying, going = strings[:-count], strings[-count:]
            if reach.takes(going) and reach.takes(staying):
                names = in_words([string_name(string) for string in going])
                return f": the {one.hand.other} hand is free for {names}"
    return ": leave a note out, or roll it over both hands"


def finger_number(draft: Draft) -> Iterator[Message]:
    """A locked digit that is no finger of a harpist's.

    Applies when: a digit other than 1 to 4 stands on a plucked note.
    Says: the digit. An error.
    Source: [P] E. Volpé Bligh, Writing for the Pedal Harp (the little finger does not play).
    """
    for part in draft.parts:
        for note in part.notes():
            for digit in note.source.locked:
                number = digit.text.strip("-^_ ")
                if digit.finger is None and number.isdecimal():
                    yield message(part.score, note, Severity.ERROR, "finger-number", no_finger_text(number))


def finger_twice(draft: Draft) -> Iterator[Message]:
    """One finger locked on two strings at once.

    Applies when: two notes of one hand at one moment have the same digit in the source.
    Says: the finger and the two notes. An error.
    Source: [T]; a placing takes distinct fingers: [P] D. Hall, The Complete Chromatic Harp.
    """
    for one in struck(draft):
        for (low, finger), (high, other) in combinations(_locked(one), 2):
            if finger == other:
                yield one.message(Severity.ERROR, "finger-twice", twice_text(finger, low, high))


def crossed_fingers(draft: Draft) -> Iterator[Message]:
    """Locked digits in the wrong order.

    Applies when: of two notes of one hand at one moment the higher has the higher digit in the source.
    Says: the two notes with their digits. An error.
    Source: [P] D. Hall, The Complete Chromatic Harp (in both hands the thumb is on the highest
    string, 4 on the lowest).
    """
    for one in struck(draft):
        for (low, finger), (high, other) in combinations(_locked(one), 2):
            if finger < other:
                yield one.message(Severity.ERROR, "crossed-fingers", crossed_text(finger, low, other, high))


def _locked(one: Struck) -> list[tuple[int, int]]:
    """The strings of an onset that have a digit in the source, from the lowest up, with their fingers."""
    if not any(one.onset.locks):
        return []
    return [(note.pitch.string, finger) for note in one.notes if (finger := _held(one, note.pitch.string)) is not None]


def _held(one: Struck, string: int) -> int | None:
    indices = one.passage.notes[one.index][one.onset.strings.index(string)]
    fingers = (held_to(one.passage.score.notes[index].source) for index in indices)
    return next((finger for finger in fingers if finger is not None), None)


def locked_digits_differ(draft: Draft) -> Iterator[Message]:
    """Two voices on one string, locked to different fingers.

    Applies when: two notes of one hand at one moment are on one string and have different digits in the source.
    Says: both digits. An error.
    Source: derived: one string is plucked by one finger.
    """
    for one in struck(draft):
        for indices in one.passage.notes[one.index]:
            if len(indices) == 1:
                continue
            notes = [one.passage.score.notes[index] for index in indices]
            fingers = {finger: note for note in reversed(notes) if (finger := held_to(note.source)) is not None}
            if len(fingers) > 1:
                listed = " and ".join(str(finger) for finger in sorted(fingers))
                text = f"{string_name(notes[0].pitch.string)} has the digits {listed} at once"
                yield one.message(Severity.ERROR, "locked-digits-differ", text)
