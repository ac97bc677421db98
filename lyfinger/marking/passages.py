"""From a score and its hands to the passages that the search solves.

A passage is what one hand of one player plucks. Notes of all its voices that are plucked at one moment are one
onset; a tied note is none. Two notes on one string (a unison of two voices) are one string of the onset, and the
source notes have one key, so that they get the same digit wherever they sound. A note that can't carry a digit (a
chord repeated with ``q``) is an onset like any other with a key of its own: the hand meets the same shape again,
but nothing is printed.

Locked digits: a source note with one digit is held to it. With several (a substitution, a choice) it is held to the
first that names a finger. With a digit that names none (5, a text) it is held to nothing. None of these is marked
again.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from ..fingering.model import Onset, Passage, Step
from ..hands.model import Hand, Hands
from ..score.model import Note, Score, SourceNote, Unmarkable
from ..score.performing import Counted, Hop, hops
from ..score.tempo import Pace
from ..source.messages import Message, Severity
from ..source.text import Place
from ..together import Together
from .clock import Clock

#: Milliseconds for a grace note. Grace notes begin where their main note stands and push it back, so their time is
#: the main note's; together they take half of it at most. Common practice, no source.
GRACE = Fraction(90)
_ACCENTS = frozenset({"accent", "marcato"})
_SLURS = frozenset({"slurStart", "phraseStart"})
_THUMB = frozenset({"flageolet", "muffled"})
_TRILLS = frozenset({"trill", "tremolo"})
_STOPS = frozenset({"fermata", "breath"})


class HandPassage(NamedTuple):
    """One hand's passage; ``notes[i][k]`` are the indices, in ``score.notes``, of the notes on string k of onset i."""

    score: Score
    player: int
    hand: Hand
    passage: Passage
    notes: tuple[tuple[tuple[int, ...], ...], ...]

    def first(self, onset: int) -> Note:
        """The note of an onset that comes first in the source, for messages."""
        listed = (self.score.notes[index] for string in self.notes[onset] for index in string)
        return min(listed, key=lambda note: note.order)


class Planned(NamedTuple):
    """Every passage of a run, and what had to be said about its locks."""

    passages: tuple[HandPassage, ...]
    messages: tuple[Message, ...] = ()


def plan(scores: Sequence[tuple[Score, Hands, Pace]], chosen: Mapping[Place, int] | None = None) -> Planned:
    """The passages of all printed scores of a run, in order of score, player and hand (right first).

    Keys are the same for the same source note in all of them. ``chosen`` are fingers that bind as locked digits do, by
    the place of the source note.
    """
    groups = []
    for score, hands, pace in scores:
        clock = Clock(score, pace)
        groups.append((score, hands, clock, _by_player_and_hand(score, hands, clock)))
    keys = _Keys(chosen or {})
    for score, _, _, by_hand in groups:
        for onsets in by_hand.values():
            for onset in onsets:
                keys.meet(score, onset)
    keys.settle()
    passages = [
        _Reader(score, clock, keys, hands, player, hand).read(onsets)
        for score, hands, clock, by_hand in groups
        for (player, hand), onsets in sorted(by_hand.items(), key=lambda item: (item[0][0], item[0][1] is Hand.LEFT))
    ]
    return Planned(tuple(passages), tuple(keys.messages()))


OnsetNotes = tuple[tuple[int, ...], ...]


def _by_player_and_hand(score: Score, hands: Hands, clock: Clock) -> dict[tuple[int, Hand], list[OnsetNotes]]:
    """The notes of each onset, by string from the lowest up, in order of time."""
    found: dict[tuple[int, Hand], dict[tuple[int, int], dict[int, list[int]]]] = {}
    for index, (note, hand, player) in enumerate(zip(score.notes, hands.hands, hands.players, strict=True)):
        if hand is None or player is None or index in hands.crowded or not is_plucked(note):
            continue
        strings = found.setdefault((player, hand), {}).setdefault(clock.times[index], {})
        strings.setdefault(note.pitch.string, []).append(index)
    return {key: [_by_string(times[time]) for time in sorted(times)] for key, times in found.items()}


def _by_string(strings: dict[int, list[int]]) -> OnsetNotes:
    return tuple([tuple(notes) for _, notes in (sorted(strings.items()) if len(strings) > 1 else strings.items())])


def is_plucked(note: Note) -> bool:
    """Whether a finger plucks this note: it is not tied to, nor one that nobody plays."""
    return note.plucked and note.source.unmarkable is not Unmarkable.NOT_PLUCKED


class _Keys:
    """Numbers for source notes, in order of first appearance; notes that share a string share a number."""

    def __init__(self, chosen: Mapping[Place, int]) -> None:
        self._chosen = chosen
        self._together: Together[SourceNote] = Together()
        self._numbers: dict[SourceNote, int] = {}
        self._locks: dict[SourceNote, int] = {}
        self._clashes: dict[tuple[SourceNote, SourceNote], Message] = {}

    def meet(self, score: Score, onset: OnsetNotes) -> None:
        for indices in onset:
            if len(indices) == 1:
                self._together.add(score.notes[indices[0]].source)
                continue
            notes = sorted((score.notes[index] for index in indices), key=lambda note: note.order)
            for note in notes:
                self._together.add(note.source)
            for other in notes[1:]:
                self._compare(score, notes[0], other)
                self._together.join(notes[0].source, other.source)

    def _compare(self, score: Score, note: Note, other: Note) -> None:
        one, two = self._held_to(note.source), self._held_to(other.source)
        if one is not None and two is not None and one != two:
            text = f"one string, two fingers: {one} here, {two} at {other.source.place}"
            bar = score.bar_number(note)
            message = Message(Severity.ERROR, note.source.place, text, "locked-digits-differ", bar=bar)
            self._clashes.setdefault((note.source, other.source), message)

    def _held_to(self, source: SourceNote) -> int | None:
        return held_to(source) if source.locked else self._chosen.get(source.place)

    def settle(self) -> None:
        """Find the lock of each key, once every onset has been met: the first one in reading order."""
        for source in self._together:
            if source.locked or self._chosen:
                finger = self._held_to(source)
                if finger is not None:
                    self._locks.setdefault(self._together.leader(source), finger)

    def number(self, source: SourceNote) -> int:
        return self._numbers.setdefault(self._together.leader(source), len(self._numbers))

    def lock(self, source: SourceNote) -> int | None:
        return self._locks.get(self._together.leader(source)) if self._locks else None

    def messages(self) -> list[Message]:
        return list(self._clashes.values())


def held_to(source: SourceNote) -> int | None:
    """The finger that a source note is locked to: the first of its digits that names one."""
    return next((digit.finger for digit in source.locked if digit.finger in (1, 2, 3, 4)), None)


class _Reader:
    """Makes the passage of one hand of one player."""

    def __init__(self, score: Score, clock: Clock, keys: _Keys, hands: Hands, player: int, hand: Hand) -> None:
        self.score, self.player, self.hand = score, player, hand
        self.clock = clock
        self.keys = keys
        at, times, notes = clock.at, clock.times, score.notes
        whose = zip(hands.players, hands.hands, strict=True)
        own = [index for index, one in enumerate(whose) if one == (player, hand)]
        heard = [(notes[index], *times[index]) for index in own]
        self.sounding = _joined([(start, start + at(note.duration)) for note, start, grace in heard if not grace])
        self.stops = sorted(start for note, start, _ in heard if note.marks & _STOPS)
        self.crowded = sorted(times[index][0] for index in own if index in hands.crowded)

    def read(self, onsets: list[OnsetNotes]) -> HandPassage:
        times = [self.clock.times[onset[0][0]] for onset in onsets]
        delays = _delays(times, self.clock)
        played = hops(times, self.score.repeats, self.clock.grid)
        steps = tuple([self._step(hop, delays) for hop in played])
        passage = Passage(tuple([self._onset(onset) for onset in onsets]), steps)
        return HandPassage(self.score, self.player, self.hand, passage, tuple(onsets))

    def _onset(self, onset: OnsetNotes) -> Onset:
        listed, keys = self.score.notes, self.keys
        first = listed[onset[0][0]]
        moment, grace = self.clock.times[onset[0][0]]
        stress = 0 if grace else self.clock.stress(moment, first.staff)
        if len(onset) == len(onset[0]) == 1:  # most are single notes
            string, source, marks = first.pitch.string, first.source, first.marks
            bare = Onset((string,), (keys.number(source),), (keys.lock(source),), (first.order,), stress, grace != 0)
            return self._marked(bare, marks) if marks else bare
        firsts = [listed[indices[0]] for indices in onset]
        marks = first.marks.union(*[listed[index].marks for indices in onset for index in indices])
        bare = Onset(
            tuple([note.pitch.string for note in firsts]),
            tuple([keys.number(note.source) for note in firsts]),
            tuple([keys.lock(note.source) for note in firsts]),
            tuple([min([listed[index].order for index in indices]) for indices in onset]),
            stress,
            grace != 0,
        )
        return self._marked(bare, marks) if marks else bare

    @staticmethod
    def _marked(onset: Onset, marks: frozenset[str]) -> Onset:
        return onset._replace(
            accent=bool(marks & _ACCENTS),
            slur_start=bool(marks & _SLURS),
            thumb_only=bool(marks & _THUMB),
            rolled="arpeggio" in marks,
            glissando="glissando" in marks,
            trill=bool(marks & _TRILLS),
        )

    def _step(self, hop: Hop, delays: Sequence[Fraction]) -> Step:
        early, late = delays[hop.before], delays[hop.after]
        if early is late:
            gap = self.clock.rounded(hop.spans)
        else:
            gap = round(self.clock.milliseconds(hop.spans) + late - early)
        return Step(hop.before, hop.after, max(gap, 1), self._pauses(hop.spans))

    def _pauses(self, spans: Sequence[tuple[int, int]]) -> bool:
        """Whether the hand may lift freely on the way (on the grid): a fermata or a breath there, a moment that is not
        marked, or no voice of the hand holds a note (written length) just before the next onset."""
        if not spans:
            return False
        if any(_falls_in(self.stops, start, end) or _falls_in(self.crowded, start, end) for start, end in spans):
            return True
        return not self._sounds_before(spans[-1][1])

    def _sounds_before(self, moment: int) -> bool:
        """Whether a note of the hand is held up to a moment."""
        at = bisect_left(self.sounding, (moment, 0)) - 1
        return at >= 0 and self.sounding[at][1] >= moment


def _falls_in(moments: Sequence[int], start: int, end: int) -> bool:
    at = bisect_left(moments, start)
    return at < len(moments) and moments[at] < end


def _joined(stretches: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Stretches of time, in order, those that touch made one."""
    joined: list[tuple[int, int]] = []
    for start, end in sorted(stretches):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return joined


def _delays(times: Sequence[Counted], clock: Clock) -> list[Fraction]:
    """How many milliseconds after its printed moment each onset is plucked, because of the grace notes there."""
    delays = [Fraction(0)] * len(times)
    if not any(grace for _, grace in times):
        return delays
    at = 0
    while at < len(times):
        moment = times[at][0]
        stop = next((index for index in range(at, len(times)) if times[index][0] != moment), len(times))
        graces = sum(1 for _, grace in times[at:stop] if grace < 0)
        if graces:
            room = clock.milliseconds([(moment, times[stop][0])]) if stop < len(times) else 2 * GRACE * graces
            each = min(GRACE, room / (2 * graces))
            for rank, index in enumerate(range(at, stop)):
                delays[index] = rank * each
        at = stop
    return delays
