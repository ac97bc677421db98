"""Notes, chords and rests: what the interpreter does with each event."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from ..score.model import SourceNote, Unmarkable
from ..score.pitch import Pitch
from ..source.messages import Refused
from .collect import Gap, Sounding, Splitting
from .commands import MARKS
from .completion import splitting
from .contexts import NOT_PRINTED, Context
from .layouts import ON, SPLITTER
from .pitches import pitch_of, resolve
from .syntax import BareDuration, ChordEvent, Event, NoteEvent, Post, RepeatChordEvent, RestEvent
from .walk import FINEST, MAX_NOTES, ZERO, Position, Walk

Part = tuple[SourceNote, Pitch, list[Post]]
"""One note of an event: where it is written, what it sounds, and what is attached to it alone."""


class Events(Walk):
    """The part of the walk that sounds."""

    def _note(self, node: NoteEvent, at: Position, here: Context) -> Position:
        octave, certain = resolve(self.reference, node.octave, node.step, node.check)
        length = self._played_length(node.length)
        if node.rest:
            self._add_gap(node, at, here, length, spacer=False)
            return self._advance(at, length)
        pitch = pitch_of(octave, node.step, node.alter, self.transposition)
        self._last = (node, (pitch,), certain)
        if not self._dry:
            source = self.book.note(node)
            self._sound([(source, pitch, node.posts)], node, at if certain else None, here, length)
        return self._advance(at, length)

    def _chord_event(self, node: ChordEvent, at: Position, here: Context) -> Position:
        length = self._played_length(node.length)
        if not node.notes:
            self._attach_words(node.posts, at, here)
            return at
        before = self.reference.relative
        first: tuple[int, int] | None = None
        pitches, certain = [], True
        notes = [note for note in node.notes if not (note.tags and self._removing(note.tags))]
        for note in notes:
            octave, sure = resolve(self.reference, note.octave, note.step, note.check)
            certain = certain and sure
            first = first or self.reference.relative
            pitches.append(pitch_of(octave, note.step, note.alter, self.transposition))
        self.reference.relative = first if before is not None else None
        self._chord = self._last = (node, tuple(pitches), certain)
        if not self._dry:
            sources = self.book.chord(node, notes, here.side, tuple(pitches))
            parts = [(source, pitch, note.posts) for source, pitch, note in zip(sources, pitches, notes, strict=True)]
            self._sound(parts, node, at if certain else None, here, length)
        return self._advance(at, length)

    def _repeat_chord(self, node: RepeatChordEvent, at: Position, here: Context) -> Position:
        length = self._played_length(node.length)
        if self._written_out and self._chord is not self._chord_outside and self.reference.relative is not None:
            assert self._chord is not None
            self._write_out(*self._chord)
        self._last = self._chord or self._last
        if self._chord is not None and not self._dry:
            _, pitches, certain = self._chord
            parts: list[Part] = [
                (self.book.repeated(node, index, Unmarkable.REPEATED_CHORD), pitch, [])
                for index, pitch in enumerate(pitches)
            ]
            self._sound(parts, node, at if certain else None, here, length)
        return self._advance(at, length)

    def _write_out(self, chord: ChordEvent, pitches: tuple[Pitch, ...], certain: bool) -> None:
        """Finds the octaves of the last chord anew, as if it were written here."""
        first: tuple[int, int] | None = None
        found = []
        for note in chord.notes:
            octave, sure = resolve(self.reference, note.octave, note.step, note.check)
            certain = certain and sure
            first = first or self.reference.relative
            found.append(pitch_of(octave, note.step, note.alter, self.transposition))
        self.reference.relative = first
        self._chord = (chord, tuple(found), certain)

    def _bare(self, node: BareDuration, at: Position, here: Context) -> Position:
        length = self._played_length(node.length)
        if self._last is not None and not self._dry:
            original, pitches, certain = self._last
            reason = Unmarkable.BARE_DURATION if isinstance(original, ChordEvent) else None
            parts: list[Part] = [
                (self.book.repeated(node, index, reason), pitch, []) for index, pitch in enumerate(pitches)
            ]
            self._sound(parts, node, at if certain else None, here, length)
        return self._advance(at, length)

    def _sound(self, parts: list[Part], event: Event, at: Position, here: Context, length: Fraction) -> None:
        voice = self.tree.voice_of(here)
        if event.posts:
            self._attach_words(event.posts, at, voice or here)
        if voice is None or voice.kind in NOT_PRINTED:
            return
        if at is None:
            self._miss(event, len(parts))
            return
        shared = NOTHING if isinstance(event, NoteEvent) else attached(event.posts)
        in_chord = isinstance(event, ChordEvent)
        moment, grace = at
        soundings = self.collection.soundings
        if len(soundings) > MAX_NOTES:
            raise Refused(f"more than {MAX_NOTES} notes sound in this score", self.sources.place(event.start))
        self._refuse_too_fine(at, event)
        self._latest = []
        way = self._splitting(event, voice)
        tied = False
        for source, pitch, posts in parts:
            marks, tie, tied = attached(posts)
            if voice.cue:
                source.unmarkable = Unmarkable.NOT_PLUCKED
            sounding = Sounding(
                source,
                moment,
                grace,
                length,
                pitch,
                voice,
                voice.change,
                voice.side,
                marks | shared.marks if marks and shared.marks else marks or shared.marks,
                len(soundings),
                tie or shared.tie,
                tied or shared.tied,
                way,
                tie and in_chord and not shared.tie,
            )
            soundings.append(sounding)
            self._latest.append(sounding)
        if shared.tied or (tied and not in_chord):
            self.collection.half_ties += self._latest[:1]

    def _splitting(self, event: Event, voice: Context) -> Splitting | None:
        """How the notes of an event are split at bar lines; None where their voice does not split any."""
        if voice.settings.get(SPLITTER) != ON:
            return None
        scale = event.scale * self.factor
        return splitting(scale, voice.setting("completionUnit"), voice.setting("completionFactor"))

    def _rest(self, node: RestEvent, at: Position, here: Context) -> Position:
        length = self._played_length(node.length)
        self._add_gap(node, at, here, length, spacer=node.kind == "s")
        return self._advance(at, length)

    def _add_gap(self, node: Event, at: Position, here: Context, length: Fraction, *, spacer: bool) -> None:
        if self._dry:
            return
        voice = self.tree.voice_of(here)
        self._attach_words(node.posts, at, voice or here)
        if voice is None or at is None:
            return
        self._refuse_too_fine(at, node)
        found = attached(node.posts)
        gap = Gap(node.start, at[0], at[1], length, voice, voice.change, spacer, found.marks, node.end)
        self.collection.gaps.append(gap)
        if found.tied:
            self.collection.half_ties.append(gap)
        self._latest = [gap]

    def _refuse_too_fine(self, at: tuple[Fraction, Fraction], event: Event) -> None:
        moment, grace = at
        if moment.denominator > FINEST or (grace is not ZERO and grace.denominator > FINEST):
            raise Refused("this begins at a moment too fine to be counted", self.sources.place(event.start))

    def _attach_late(self, posts: list[Post]) -> None:
        """Post-events that a prefix (``\\tweak``) keeps apart from their note."""
        late = attached(posts)
        for item in self._latest:
            item.marks |= late.marks
            if isinstance(item, Sounding):
                item.tie = item.tie or late.tie
                item.tied = item.tied or late.tied
        if late.tied:
            self.collection.half_ties += self._latest[:1]
        if len(self._latest) == 1 and isinstance(self._latest[0], Sounding):
            self.book.lock(self._latest[0].source, posts)


class Attached(NamedTuple):
    """What is attached to an event: ``marks`` as a :class:`Note` has them, ``tie`` where a tie begins, ``tied`` where a
    ``\\repeatTie`` ends."""

    marks: frozenset[str] = frozenset()
    tie: bool = False
    tied: bool = False


NOTHING = Attached()


def attached(posts: list[Post]) -> Attached:
    """What some post-events come to."""
    if not posts:
        return NOTHING
    marks: set[str] = set()
    tie = tied = False
    for post in posts:
        if post.kind == "~":
            tie = True
        elif post.kind == "repeatTie":
            tied = True
        else:
            mark = MARKS.get(post.kind)
            if mark is not None:
                marks.add(mark)
    if tie:
        marks.add("tieStart")
    elif not marks and not tied:  # digits and texts alone
        return NOTHING
    return Attached(frozenset(marks), tie, tied)
