"""Rules on what a harp can sound: its strings, and one alteration of each letter at a time."""

from __future__ import annotations

from collections.abc import Iterator

from ..marking.passages import is_plucked
from ..score.model import Note
from ..score.pitch import LETTERS, Pitch, at_most_a_semitone, respellings, string_name
from ..source.messages import Message, Severity
from .draft import Draft, Part, message


def off_the_harp(draft: Draft) -> Iterator[Message]:
    """A note below the lowest or above the highest string.

    Applies when: a note's string is not on the harp of the player's profile.
    Says: the note, the harp's range, and the way back to it. An error.
    Source: pedal harp C1–G7: [P] E. Volpé Bligh, Writing for the Pedal Harp; 34-string lever harp C2–A6: [P]
    D. Perrett, Tips on composing for harp; other lever harps from memory: the player's own is a setting.
    """
    harp = draft.reach.harp
    for part, note in _harp_notes(draft):
        if not harp.lowest <= note.pitch.string <= harp.highest:
            strings = f"{string_name(harp.lowest)} to {string_name(harp.highest)}"
            way = "lower" if note.pitch.string > harp.highest else "higher"
            text = f"{note.pitch.name} is not on this harp, which has {strings}: write it an octave {way}"
            yield message(part.score, note, Severity.ERROR, "off-the-harp", text)


def no_mechanism(draft: Draft) -> Iterator[Message]:
    """An alteration on a string that no pedal or lever moves.

    Applies when: a note stands on a string without mechanism, which sounds all through as it was tuned before
    playing: an error where it is altered otherwise than when it was last struck, a warning where it is altered alike
    all through.
    Says: the string, and what it was tuned to; or that the page must ask for the tuning. One warning for each string.
    Source: [P] C1 and D1, on some harps G7: E. Volpé Bligh, Writing for the Pedal Harp. The player's own strings are a
    setting.
    """
    for part in draft.parts:
        strings: dict[tuple[int | None, int], list[Note]] = {}
        for note, player in zip(part.score.notes, part.hands.players, strict=True):
            if note.pitch.string in draft.reach.harp.fixed and player is not None and is_plucked(note):
                strings.setdefault((player, note.pitch.string), []).append(note)
        for notes in strings.values():
            yield from _fixed_string(part, notes)


def _fixed_string(part: Part, notes: list[Note]) -> Iterator[Message]:
    first = notes[0].pitch
    name = string_name(first.string)
    others = [note for note in notes if note.pitch.alter != first.alter and abs(note.pitch.alter) <= 1]
    for note in others:
        text = f"{note.pitch.name}: {name} has no mechanism and was {first.name} before; write it an octave higher"
        yield message(part.score, note, Severity.ERROR, "no-mechanism", text)
    if not others and first.alter and abs(first.alter) <= 1:
        text = f"{first.name}: {name} has no mechanism; ask on the page that it be tuned so before playing"
        yield message(part.score, notes[0], Severity.WARNING, "no-mechanism", text)


def double_alteration(draft: Draft) -> Iterator[Message]:
    """A double sharp or double flat.

    Applies when: a note is altered by more than one semitone.
    Says: the note, and how to write it for a string. An error.
    Source: derived: a string has three pitches (flat, natural, sharp: [P] E. Volpé Bligh).
    """
    for part, note in _harp_notes(draft):
        if note.pitch.alter.denominator == 1 and not at_most_a_semitone(note.pitch):
            ways = " or ".join(pitch.name for pitch in respellings(note.pitch))
            text = f"{note.pitch.name}: no string gives a double alteration; write {ways}"
            yield message(part.score, note, Severity.ERROR, "double-alteration", text)


def quarter_tone(draft: Draft) -> Iterator[Message]:
    """A note between the semitones.

    Applies when: a note is altered by a part of a semitone.
    Says: the note. An error.
    Source: derived: a string has three pitches (flat, natural, sharp: [P] E. Volpé Bligh).
    """
    for part, note in _harp_notes(draft):
        if note.pitch.alter.denominator != 1:
            text = f"{note.pitch.name}: no pedal or lever gives a quarter tone"
            yield message(part.score, note, Severity.ERROR, "quarter-tone", text)


def two_alterations(draft: Draft) -> Iterator[Message]:
    """One letter in two alterations at once.

    Applies when: a player has to pluck two notes of one letter, in any octave and either hand, that are altered
    differently; on a lever harp, two notes of one string. Notes altered as no string can be are left to their own
    rules.
    Says: both notes, and how one of them can be respelt, on a letter that is not in use otherwise at that moment. An
    error.
    Source: [P] E. Volpé Bligh, Writing for the Pedal Harp (a pedal moves every string of its letter); twins: Sibelius
    Academy, Harp Notation; that a lever moves its own string: D. Perrett, Tips on composing for harp.
    """
    for part in draft.parts:
        score = part.score
        moments: dict[tuple[int, int, int, int], list[Note]] = {}
        for note, time, player in zip(score.notes, score.times, part.hands.players, strict=True):
            if player is not None and is_plucked(note) and at_most_a_semitone(note.pitch):
                own = note.pitch.string if draft.reach.harp.levers else 0
                moments.setdefault((*time, player, own), []).append(note)
        for notes in moments.values():
            if _differ(notes):
                yield from _clashes(part, notes)


def _differ(notes: list[Note]) -> bool:
    """Whether any letter has two alterations."""
    if len(notes) == 1:
        return False
    signs = {(note.pitch.step, note.pitch.alter.as_integer_ratio()) for note in notes}
    return len(signs) > len({step for step, _ in signs})


def _clashes(part: Part, notes: list[Note]) -> Iterator[Message]:
    """A message for each letter that is altered in two ways at one moment."""
    pitches = sorted({note.pitch for note in notes})
    letters: dict[int, list[Pitch]] = {}
    for pitch in pitches:
        letters.setdefault(pitch.step, []).append(pitch)
    for step, same in letters.items():
        if len({pitch.alter for pitch in same}) > 1:
            names = " and ".join(pitch.name for pitch in same)
            text = f"{names} at once: the harp has one {LETTERS[step]} at a time{_respelt(same, pitches)}"
            first = min((note for note in notes if note.pitch.step == step), key=lambda note: note.order)
            yield message(part.score, first, Severity.ERROR, "two-alterations", text)


def _respelt(same: list[Pitch], pitches: list[Pitch]) -> str:
    """How the one note that is altered otherwise than all others of its letter can be written; an altered one first."""
    for pitch in sorted(same, key=lambda pitch: -abs(pitch.alter)):
        alone = sum(other.alter == pitch.alter for other in same) == 1
        agree = len({other.alter for other in same if other is not pitch}) == 1
        for twin in respellings(pitch) if alone and agree else ():
            used = {other.alter for other in pitches if other.step == twin.step}
            if twin.step != pitch.step and used <= {twin.alter} and all(twin.string != o.string for o in pitches):
                return f"; write {twin.name} for {pitch.name}"
    return ""


def _harp_notes(draft: Draft) -> Iterator[tuple[Part, Note]]:
    for part in draft.parts:
        for note in part.notes():
            if is_plucked(note):
                yield part, note
