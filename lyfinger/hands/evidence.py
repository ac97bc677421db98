"""The hand of one note, by the strongest evidence that says anything.

Source of the order: common practice; that a staff shows the register and most often also the hand, never for
certain, is published (Sibelius Academy, *Harp Notation*, general remarks).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from ..score.model import HandWord, Note, Score
from ..score.pitch import Pitch
from .clefs import clef_at, clef_hand
from .model import Evidence, Hand, Reason
from .names import staff_names
from .players import Players
from .words import Saying, Strength, saying

_SIDES = {1: ":up", -1: ":down"}
_MIDDLE_C = Pitch(4, 0, Fraction(0))


class Decision(NamedTuple):
    hand: Hand | None
    reason: Reason


class Span(NamedTuple):
    """A hand word in force from ``start`` up to ``end`` (None: to the end of the voice)."""

    start: Fraction
    end: Fraction | None
    hand: Hand | None


class Witness:
    """Knows everything that a score says of hands; ``settings`` is ``[hands]`` of the configuration."""

    def __init__(self, score: Score, settings: Mapping[str, str], players: Players) -> None:
        self.score = score
        self.settings = settings
        self.players = players
        self.used: set[str] = set()
        self._comments = _comment_spans(score)
        self._branched_off = _by_staff(score, self._comments)
        self._words = _word_spans(score)
        self._both_ways = _staves_of_two_named_voices(score)
        self._always: dict[tuple[int, int, int, int], Decision | None] = {}
        self._named: dict[tuple[int, int, bool], Decision | None] = {}

    def decide(self, note: Note) -> Decision:
        """The hand of a note, whether or not its staff is the harp's."""
        key = (note.voice, note.staff, note.home, note.side)
        if key not in self._always:
            self._always[key] = self._setting(note) or (None if self._told(note.voice) else self._name_or_order(note))
        return (
            self._always[key]
            or _in_force(self._comments.get(note.voice, ()), note.moment, Evidence.COMMENT)
            or _in_force(self._around(note.voice), note.moment, Evidence.COMMENT)
            or _in_force(self._words.get(note.voice, ()), note.moment, Evidence.HAND_WORD)
            or self._name_or_order(note)
            or self._clef(note)
        )

    def _told(self, voice: int) -> bool:
        """Whether comments or words say at some moments which hand a voice is for."""
        return bool(self._comments.get(voice) or self._around(voice) or self._words.get(voice))

    def staff_hand(self, note: Note) -> Hand | None:
        """The hand of the staff where a note is printed, whoever plays the note: as settings, names, order or clef say.

        Entries of ``[hands]`` for one direction of stems are for notes, and say nothing of a staff.
        """
        staff = self.score.staves[note.staff]
        for name in (*staff_names(self.score, staff), staff.label):
            if name in self.settings:
                return Hand(self.settings[name])
        named = self._name(note.voice, note.staff, at_home=False)
        decision = self._order(note.staff) if named is None else None
        return named.hand if named else (decision or self._clef(note)).hand

    def _around(self, voice: int) -> Sequence[Span]:
        """Comments of the voices that a voice between ``\\\\`` may branch off."""
        found = self.score.voices[voice]
        return self._branched_off.get(found.staff, ()) if found.label.isdigit() else ()

    def _setting(self, note: Note) -> Decision | None:
        """What ``[hands]`` says: of the voice, its variables (innermost first), the printed staff, its variables and
        group. ``name:up`` and ``name:down`` are for the notes with stems of that direction of their own."""
        staff = self.score.staves[note.staff]
        for name in [*self._voice_names(note.voice), *staff_names(self.score, staff), staff.label]:
            for entry in (name + _SIDES[note.side], name) if note.side else (name,):
                if entry in self.settings:
                    self.used.add(entry)
                    return Decision(Hand(self.settings[entry]), Reason(Evidence.SETTING, entry))
        return None

    def _voice_names(self, voice: int) -> list[str]:
        found = self.score.voices[voice]
        return [name for name in (found.name, *reversed(found.variables)) if name]

    def _name_or_order(self, note: Note) -> Decision | None:
        """Names of the voice only count in the staff that it was begun in: a note that changes staff changes hand."""
        at_home = note.staff == note.home
        key = (note.voice, note.staff, at_home)
        if key not in self._named:
            found = self._name(note.voice, note.staff, at_home)
            if found:
                self._named[key] = Decision(found.hand, Reason(Evidence.NAME, found.word))
            else:
                self._named[key] = self._order(note.staff)
        return self._named[key]

    def _name(self, voice: int, staff: int, at_home: bool) -> Saying | None:
        """The most specific name with a word for a hand; else one with a word for a place, the staff's first."""
        on_voice = self._voice_names(voice) if at_home else []
        on_staff = staff_names(self.score, self.score.staves[staff])
        counts = staff not in self._both_ways or len(self.players.staves(self.players.numbers[staff])) == 1
        for name in [*on_voice, *on_staff]:
            if (found := saying(name)) and found.strength is Strength.HAND:
                return found
        for name in [*on_staff, *reversed(on_voice)] if counts else on_staff:
            if found := saying(name):
                return found
        return None

    def _order(self, staff: int) -> Decision | None:
        """Upper staves of a group are the right hand's, lower ones the left's; a middle one's clef decides."""
        group = self.score.staves[staff].group
        if group is None:
            return self._order_without_group(staff)
        rows = sorted(self.players.staves(self.players.numbers[staff]), key=lambda one: self.score.staves[one].row)
        return _by_row(rows, staff)

    def _order_without_group(self, staff: int) -> Decision | None:
        staves = self.players.staves(self.players.numbers[staff])
        clefs = {_first_clef(self.score, one) for one in staves}
        return _by_row(staves, staff) if len(clefs) == 1 and not self.score.loose else None

    def _clef(self, note: Note) -> Decision:
        if self.score.loose and self.score.staves[note.staff].group is None:
            return Decision(None, Reason(Evidence.UNKNOWN))
        clef = clef_at(self.score, note.staff, note.moment)
        hand = clef_hand(clef) or (Hand.RIGHT if note.pitch >= _MIDDLE_C else Hand.LEFT)
        return Decision(hand, Reason(Evidence.CLEF, clef))


def _by_row(rows: list[int], staff: int) -> Decision | None:
    if len(rows) < 2 or staff not in rows:
        return None
    row, middle = rows.index(staff), (len(rows) - 1) / 2
    if row == middle:
        return None
    hand = Hand.RIGHT if row < middle else Hand.LEFT
    return Decision(hand, Reason(Evidence.ORDER, f"staff {row + 1} of {len(rows)}"))


def _first_clef(score: Score, staff: int) -> str:
    return clef_at(score, staff, Fraction(0))


def _in_force(spans: Sequence[Span], moment: Fraction, evidence: Evidence) -> Decision | None:
    found = bisect_right(spans, moment, key=lambda span: span.start) if spans else 0
    if not found:
        return None
    _, end, hand = spans[found - 1]
    return Decision(hand, Reason(evidence, hand)) if hand and (end is None or moment < end) else None


def _by_voice(words: Iterable[HandWord], comment: bool) -> dict[int, list[HandWord]]:
    by_voice: dict[int, list[HandWord]] = {}
    for word in sorted((one for one in words if one.comment is comment), key=lambda one: one.moment):
        by_voice.setdefault(word.voice, []).append(word)
    return by_voice


def _comment_spans(score: Score) -> dict[int, list[Span]]:
    """Comments hold to the next one or the end of the voice; a voice between ``\\\\`` ends where its music stops."""
    return {
        voice: [
            Span(word.moment, _stop(score, voice, word.moment), Hand(word.hand) if word.hand else None)
            for word in words
        ]
        for voice, words in _by_voice(score.hand_words, True).items()
    }


def _stop(score: Score, voice: int, start: Fraction) -> Fraction | None:
    """Where music without a break from ``start`` ends, in a voice between ``\\\\``; None for any other voice."""
    if not score.voices[voice].label.isdigit():
        return None
    notes = [(note.moment, note.duration) for note in score.notes if note.voice == voice]
    silences = [(silence.moment, silence.duration) for silence in score.silences if silence.voice == voice]
    end = start
    for moment, duration in sorted(part for part in notes + silences if part[0] >= start):
        if moment > end:
            break
        end = max(end, moment + duration)
    return end


def _by_staff(score: Score, comments: Mapping[int, list[Span]]) -> dict[int, list[Span]]:
    """The comments of the voices of each staff that are not between ``\\\\``, in order of time."""
    found: dict[int, list[Span]] = {}
    for voice, spans in comments.items():
        if not score.voices[voice].label.isdigit():
            found.setdefault(score.voices[voice].staff, []).extend(spans)
    return {staff: sorted(spans, key=lambda span: span.start) for staff, spans in found.items()}


def _word_spans(score: Score) -> dict[int, list[Span]]:
    """Markup holds to the next hand word or rest of its voice; at the voice's first note it is a label, and holds."""
    return {
        voice: list(_voice_spans(score, voice, words)) for voice, words in _by_voice(score.hand_words, False).items()
    }


def _voice_spans(score: Score, voice: int, words: list[HandWord]) -> Iterator[Span]:
    end = ends_of_words(score, voice)
    for word in words:
        yield Span(word.moment, end(word.moment), Hand(word.hand) if word.hand else None)


def ends_of_words(score: Score, voice: int) -> Callable[[Fraction], Fraction | None]:
    """Until when a hand word at a moment of a voice is in force, if no other one comes (None: to its end)."""
    rests = sorted(silence.moment for silence in score.silences if silence.voice == voice)
    first = min((note.moment for note in score.notes if note.voice == voice), default=None)

    def end(moment: Fraction) -> Fraction | None:
        after = bisect_right(rests, moment)
        is_label = first is not None and moment <= first
        return None if is_label or after == len(rests) else rests[after]

    return end


def _staves_of_two_named_voices(score: Score) -> set[int]:
    """Staves whose own voices are named for both places: "upper" and "lower" are then voices, not hands."""
    said: dict[int, set[Hand]] = {}
    for voice in score.voices:
        for name in (voice.name, *voice.variables):
            if name and (found := saying(name)) and found.strength is Strength.PLACE:
                said.setdefault(voice.staff, set()).add(found.hand)
    return {staff for staff, hands in said.items() if len(hands) == 2}
