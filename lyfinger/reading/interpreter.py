"""Walks through the music of one score, as the typesetter's iterators would, and collects what sounds.

The walk goes in text order, because octaves, ``q`` and bare durations follow the text; each branch of
simultaneous music starts again at its own moment. A position is ``(moment, grace)`` in whole notes, or None where
an opaque passage has made the moment unknown; a note is then *unread*: it is warned of and never marked.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from ..score.model import SourceNote, Unmarkable
from ..score.pitch import Pitch
from ..source.messages import Refused
from .collect import Collection, Gap, Sounding, Stamp
from .commands import BREATHS, GRACES, MARKS, PASSED_THROUGH, SIDES
from .contexts import NOT_PRINTED, Context, ContextTree
from .notes import NoteBook, hand_in_text
from .pitches import FIRST_REFERENCE, Reference, Transposition, check_octave, pitch_of, resolve
from .stream import Sources
from .syntax import (
    Applied,
    BareDuration,
    ChordEvent,
    Command,
    Event,
    NoteEvent,
    Opaque,
    Post,
    RepeatChordEvent,
    RepeatNode,
    RestEvent,
    Sequential,
    Simultaneous,
    VariableUse,
)

ZERO = Fraction(0)
Position = tuple[Fraction, Fraction] | None
MAX_NOTES = 400_000
"""Printed notes in one score beyond which it is refused (unfolded repeats and variables can multiply)."""
MAX_WALK = 1000


@dataclass(slots=True)
class Unread:
    """A passage that was not followed: from the opaque thing to the last note that it made uncertain."""

    start: int
    end: int
    reason: str
    notes: int = 0
    names: tuple[str, ...] = ()


@dataclass(slots=True)
class TagFilter:
    """``\\keepWithTag`` or ``\\removeWithTag`` in force; ``depth`` counts the ``\\relative`` around it."""

    keep: bool
    names: frozenset[str]
    depth: int


class Interpreter:
    """Collects one score's music into ``collection`` and its contexts into ``tree``."""

    def __init__(self, sources: Sources, book: NoteBook, offset: int, tag_groups: dict[str, int]) -> None:
        self.sources = sources
        self.tag_groups = tag_groups
        self.book = book
        self.tree = ContextTree(offset)
        self.collection = Collection()
        self.unread: list[Unread] = []
        self.reference = Reference()
        self.transposition: Transposition | None = None
        self.factor = Fraction(1)
        self.unfolding = False
        self._grace = False
        self._dry = 0
        self._lead = ZERO
        self._lost: Unread | None = None
        self._filters: list[TagFilter] = []
        self._relative_depth = 0
        self._depth = 0
        self._chord: tuple[ChordEvent, tuple[Pitch, ...], bool] | None = None
        self._last: tuple[Any, tuple[Pitch, ...], bool] | None = None
        self._latest: list[Any] = []
        self._alternatives: list[list[tuple[Fraction, Fraction, tuple[int, ...]]]] = []
        self._counts: list[int] = []
        self._turns: list[int] = []
        self._walkers: dict[type, Callable[[Any, Position, Context], Position]] = {
            NoteEvent: self._note,
            ChordEvent: self._chord_event,
            RestEvent: self._rest,
            RepeatChordEvent: self._repeat_chord,
            BareDuration: self._bare,
            Sequential: self._sequential,
            Simultaneous: self._simultaneous,
            Command: self._command,
            Applied: self._applied,
            RepeatNode: self._repeat,
            VariableUse: self._variable,
            Opaque: self._opaque,
        }
        self._functions: dict[str, Callable[[Applied, Position, Context], Position]] = {
            "context": self._context,
            "relative": self._relative,
            "absolute": self._absolute,
            "fixed": self._fixed,
            "transpose": self._transpose,
            "tuplet": self._scaled,
            "times": self._scaled,
            "scaleDurations": self._scaled,
            "afterGrace": self._after_grace,
            "after": self._after,
            "single": lambda node, at, here: self.walk(node.bodies[1], at, here),
            "pitchedTrill": self._pitched_trill,
            "partCombine": self._part_combine,
            "partCombineUp": self._part_combine,
            "partCombineDown": self._part_combine,
            "autoChange": self._auto_change,
            "voices": self._voices,
            "skip": self._skip_music,
            "makeClusters": self._skip_music,
            "void": lambda node, at, here: at,
            "unfoldRepeats": self._unfold_repeats,
            "keepWithTag": self._filtered,
            "removeWithTag": self._filtered,
            "tag": self._tagged,
            "alternative": self._alternative_inside,
            "volta": self._volta,
            "unfolded": self._unfolded,
        }

    # ---- the walk ----

    def play(self, node: Any) -> None:
        """Walks one top-level music expression from moment 0."""
        end = self.walk(node, (ZERO, ZERO), self.tree.root)
        if end is not None:
            self.collection.end = max(self.collection.end, end[0])

    def stop_timing(self) -> None:
        """Bars aren't counted in this score: its layout says so."""
        self.collection.stamps.append(Stamp(ZERO, ZERO, "cadenzaOn", (), None, self.tree.root.offset))

    def walk(self, node: Any, at: Position, here: Context) -> Position:
        """Plays a node at a position in a context; returns the position behind it."""
        self._depth += 1
        if self._depth > MAX_WALK:
            raise Refused("music is nested too deeply here", self.sources.place(node.start))
        self._lead = ZERO
        try:
            return self._walkers[type(node)](node, at, here)
        finally:
            self._depth -= 1

    def _advance(self, at: Position, length: Fraction) -> Position:
        if at is None:
            return None
        if self._grace:
            return at[0], at[1] + length
        return at[0] + length, ZERO

    # ---- events ----

    def _note(self, node: NoteEvent, at: Position, here: Context) -> Position:
        octave, certain = resolve(self.reference, node.octave, node.step, node.check)
        length = node.length * self.factor
        if node.rest:
            self._add_gap(node, at, here, length, spacer=False)
            return self._advance(at, length)
        pitch = pitch_of(octave, node.step, node.alter, self.transposition)
        self._last = (node, (pitch,), certain)
        if not self._dry:
            source = self.book.note(node, here.side)
            self._sound([(source, pitch, node.posts)], node, at if certain else None, here, length)
        return self._advance(at, length)

    def _chord_event(self, node: ChordEvent, at: Position, here: Context) -> Position:
        length = node.length * self.factor
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
            parts = [
                (source, pitch, note.posts)
                for source, pitch, note in zip(sources, pitches, notes, strict=True)
            ]
            self._sound(parts, node, at if certain else None, here, length)
        return self._advance(at, length)

    def _repeat_chord(self, node: RepeatChordEvent, at: Position, here: Context) -> Position:
        length = node.length * self.factor
        if self._chord is not None and not self._dry:
            _, pitches, certain = self._chord
            parts = [
                (self.book.repeated(node, index, Unmarkable.REPEATED_CHORD), pitch, [])
                for index, pitch in enumerate(pitches)
            ]
            self._sound(parts, node, at if certain else None, here, length)
        return self._advance(at, length)

    def _bare(self, node: BareDuration, at: Position, here: Context) -> Position:
        length = node.length * self.factor
        if self._last is not None and not self._dry:
            original, pitches, certain = self._last
            reason = Unmarkable.BARE_DURATION if isinstance(original, ChordEvent) else None
            parts = [(self.book.repeated(node, index, reason), pitch, []) for index, pitch in enumerate(pitches)]
            self._sound(parts, node, at if certain else None, here, length)
        return self._advance(at, length)

    def _sound(
        self,
        parts: list[tuple[SourceNote, Pitch, list[Post]]],
        event: Event,
        at: Position,
        here: Context,
        length: Fraction,
    ) -> None:
        voice = self.tree.voice_of(here, event.start)
        self._attach_words(event.posts, at, here)
        if voice is None or voice.kind in NOT_PRINTED:
            return
        if at is None:
            self._miss(event, len(parts))
            return
        shared, tie, tied = _marks(event.posts if not isinstance(event, NoteEvent) else [])
        soundings = self.collection.soundings
        if len(soundings) > MAX_NOTES:
            raise Refused(f"more than {MAX_NOTES} notes sound in this score", self.sources.place(event.start))
        self._latest = []
        for source, pitch, posts in parts:
            own, own_tie, own_tied = _marks(posts)
            if voice.cue:
                source.unmarkable = Unmarkable.NOT_PLUCKED
            sounding = Sounding(
                source,
                at[0],
                at[1],
                length,
                pitch,
                voice,
                voice.change,
                voice.side,
                own | shared,
                len(soundings),
                own_tie or tie,
                own_tied or tied,
                voice.tie_waits,
            )
            soundings.append(sounding)
            self._latest.append(sounding)

    def _rest(self, node: RestEvent, at: Position, here: Context) -> Position:
        length = node.length * self.factor
        self._add_gap(node, at, here, length, spacer=node.kind == "s")
        return self._advance(at, length)

    def _add_gap(self, node: Event, at: Position, here: Context, length: Fraction, *, spacer: bool) -> None:
        if self._dry:
            return
        voice = self.tree.voice_of(here, node.start)
        self._attach_words(node.posts, at, here)
        if voice is None or at is None:
            return
        marks, _, _ = _marks(node.posts)
        gap = Gap(node.start, at[0], at[1], length, voice, voice.change, spacer, marks)
        self.collection.gaps.append(gap)
        self._latest = [gap]

    def _attach_words(self, posts: list[Post], at: Position, here: Context) -> None:
        for post in posts:
            if post.kind == "text" and not self._dry:
                hand = hand_in_text(post.value)
                if hand is not None:
                    self._stamp(at, "word", (hand, False), here, post.start)

    def _stamp(self, at: Position, what: str, value: Any, here: Context, offset: int) -> None:
        if at is None or self._dry:
            return
        context: Context | None = here
        if what == "word":
            context = self.tree.voice_of(here, offset)
        elif what == "clef":
            context = self.tree.staff_of(here) if here.role != "other" else None
        self.collection.stamps.append(Stamp(at[0], at[1], what, value, context, offset))

    # ---- what can't be followed ----

    def _miss(self, event: Event, notes: int) -> None:
        lost = self._lost
        if lost is None:
            return
        within = lost.start <= event.start < lost.end
        onward = event.start >= lost.end and lost.names == tuple(self.tree.names)
        if onward and self.sources.place(event.start).file is self.sources.place(lost.start).file:
            lost.end = event.end
        elif not within:
            self._lose(event.start, event.end, lost.reason)
            lost = self.unread[-1]
        lost.notes += notes

    def _opaque(self, node: Opaque, at: Position, here: Context) -> Position:
        if node.silent or here.role == "other":
            return at
        if self._dry:
            return None
        self._lose(node.start, node.end, node.reason)
        if self.reference.relative is not None:
            self.reference.lost = True
        return None

    def _lose(self, start: int, end: int, reason: str) -> None:
        self._lost = Unread(start, end, reason, names=tuple(self.tree.names))
        self.unread.append(self._lost)

    # ---- combinations ----

    def _sequential(self, node: Sequential, at: Position, here: Context) -> Position:
        comments = list(node.comments)
        collection = self.collection
        graces_from = collection.marks()
        total = ZERO
        started = at
        for item in node.items:
            while comments and comments[0].start < item.start:
                comment = comments.pop(0)
                self._stamp(at, "word", (comment.hand, True), here, comment.start)
            if isinstance(item, Applied) and isinstance(item.bodies[0], list) and len(item.bodies) == 1:
                self._attach_late(item.bodies[0])
                continue
            before = collection.marks()
            after = self.walk(item, at, here)
            if self._lead:
                collection.shift_grace(graces_from, before, self._lead)
                if at == started:
                    total += self._lead
            if after is None or at is None or after[0] != at[0] or self._grace:
                graces_from = collection.marks()
            at = after
        self._lead = ZERO if self._grace else total
        return at

    def _attach_late(self, posts: list[Post]) -> None:
        """Post-events that a prefix (``\\tweak``) keeps apart from their note."""
        marks, tie, tied = _marks(posts)
        for item in self._latest:
            item.marks |= marks
            if isinstance(item, Sounding):
                item.tie = item.tie or tie
                item.tied = item.tied or tied
        if len(self._latest) == 1 and isinstance(self._latest[0], Sounding):
            self.book.lock(self._latest[0].source, posts)

    def _simultaneous(self, node: Simultaneous, at: Position, here: Context) -> Position:
        if node.voices:
            return self._numbered(node.voices, list(range(1, len(node.voices) + 1)), at, here, node.start)
        ends: list[Position] = [at]
        lead = ZERO
        for item in node.items:
            ends.append(self.walk(item, at, here))
            lead = min(lead, self._lead)
        self._lead = lead
        return _latest_of(ends)

    def _numbered(
        self, voices: list[list[Any]], numbers: list[int], at: Position, here: Context, offset: int
    ) -> Position:
        ends: list[Position] = [at]
        lead = ZERO
        for items, number in zip(voices, numbers, strict=False):
            if not items:
                continue
            voice = self.tree.numbered_voice(here, number, offset)
            kept = voice.side
            if voice.role == "voice":
                voice.side = 1 if number % 2 else -1
            inner = items[0] if len(items) == 1 else Simultaneous(items[0].start, items[-1].end, items)
            ends.append(self.walk(inner, at, voice))
            lead = min(lead, self._lead)
            voice.side = kept if voice.role == "voice" else voice.side
        self._lead = lead
        return _latest_of(ends)

    def _variable(self, node: VariableUse, at: Position, here: Context) -> Position:
        if type(node.music) not in self._walkers:
            return self._opaque(Opaque(node.start, node.end, f"\\{node.name} holds no music"), at, here)
        self.tree.names.append(node.name)
        if here.role in ("staff", "voice") and node.name not in here.variables:
            here.variables.append(node.name)
        end = self.walk(node.music, at, here)
        self.tree.names.pop()
        return end

    # ---- commands without music ----

    def _command(self, node: Command, at: Position, here: Context) -> Position:
        name, given = node.name, node.arguments
        if name == "skip":
            return self._advance(at, given[0] * self.factor) if isinstance(given[0], Fraction) else None
        if name in SIDES:
            voice = self.tree.voice_of(here, node.start)
            if voice is not None and not self._dry:
                voice.side = SIDES[name]
        elif name == "change":
            self._change(given[0], here)
        elif name in BREATHS and not self._dry:
            for item in self._latest:
                item.marks.add("breath")
        elif name == "octaveCheck":
            check_octave(self.reference, given[0][0], given[0][1])
        elif name == "resetRelativeOctave" and self.reference.relative is not None:
            self.reference.relative = (given[0][0], given[0][1])
            self.reference.lost = False
        elif name == "set":
            self._set(given, at, here, node.start)
        elif name in ("time", "partial", "cadenzaOn", "cadenzaOff", "tempo", "clef", "compoundMeter"):
            self._stamp(at, name, given, here, node.start)
        if node.posts:
            self._attach_words(node.posts, at, here)
        return at

    def _set(self, given: tuple[Any, ...], at: Position, here: Context, offset: int) -> None:
        path, value = given
        if not path:
            return
        prop = path[-1]
        if prop in ("currentBarNumber", "measurePosition", "measureLength", "baseMoment", "beatBase", "timing"):
            self._stamp(at, prop, value, here, offset)
        elif prop == "tieWaitForNote":
            voice = self.tree.voice_of(here, offset)
            if voice is not None:
                voice.tie_waits = "t" in str(value)
        elif prop == "instrumentName" and not self._dry:
            staff = here.up("staff", "group")
            if staff.role in ("staff", "group"):
                staff.settings["instrumentName"] = str(value)

    def _change(self, name: Any, here: Context) -> None:
        if self._dry:
            return
        target = here if here.role == "voice" else self.tree.voice_of(here)
        if target is not None and isinstance(name, str):
            target.change = name

    # ---- commands with music ----

    def _applied(self, node: Applied, at: Position, here: Context) -> Position:
        if node.name in GRACES:
            return self._grace_group(node, at, here)
        handler = self._functions.get(node.name)
        if handler is not None:
            return handler(node, at, here)
        if node.name in PASSED_THROUGH:
            body = node.bodies[-1]
            if isinstance(body, list):
                self._attach_late(body)
                return at
            return self.walk(body, at, here)
        self._opaque(Opaque(node.start, node.end, f"\\{node.name} changes its music"), at, here)
        for body in node.bodies:
            if not isinstance(body, list):
                self.walk(body, None, here)
        return None

    def _grace_group(self, node: Applied, at: Position, here: Context) -> Position:
        if at is None or isinstance(node.bodies[0], list):
            self.walk(node.bodies[0], None, here)
            return at
        outer, self._grace = self._grace, True
        before = self.collection.marks()
        end = self.walk(node.bodies[0], (at[0], at[1]), here)
        self._grace = outer
        if end is None:
            return None
        length = end[1] - at[1]
        self.collection.shift_grace(before, self.collection.marks(), -length)
        self._lead = -length
        return at

    def _after_grace(self, node: Applied, at: Position, here: Context) -> Position:
        end = self.walk(node.bodies[0], at, here)
        lead = self._lead
        if at is None or end is None:
            self.walk(node.bodies[1], None, here)
            return end
        share = node.arguments[0] if node.arguments and isinstance(node.arguments[0], Fraction) else Fraction(3, 4)
        begin = (at[0] + (end[0] - at[0]) * share, ZERO)
        self._grace_group(Applied(node.start, node.end, "grace", (), [node.bodies[1]]), begin, here)
        self._lead = lead
        return end

    def _after(self, node: Applied, at: Position, here: Context) -> Position:
        """``\\after 4 event music``: the event a quarter after the music's beginning."""
        event, music = node.bodies
        delay = node.arguments[0]
        ends: list[Position] = []
        if not isinstance(event, list) and isinstance(delay, Fraction):
            ends.append(self.walk(event, self._advance(at, delay * self.factor), here))
        ends.append(self.walk(music, at, here))
        return _latest_of(ends)

    def _pitched_trill(self, node: Applied, at: Position, here: Context) -> Position:
        end = self.walk(node.bodies[0], at, here)
        self._silently(node.bodies[1], None, here)
        return end

    def _silently(self, node: Any, at: Position, here: Context) -> Position:
        self._dry += 1
        try:
            return self.walk(node, at, here)
        finally:
            self._dry -= 1

    def _context(self, node: Applied, at: Position, here: Context) -> Position:
        kind, name, new, settings = node.arguments
        if self._dry:
            return self.walk(node.bodies[0], at, here)
        context = self.tree.enter(here, kind, name, new, node.start, settings)
        if context.role in ("staff", "voice", "group"):
            context.settings.update(settings)
        if context.role == "voice" and here.role == "voice" and context is not here:
            context.change = context.change or here.change
        body = node.bodies[0]
        if isinstance(body, list):
            return at
        return self.walk(body, at, context)

    def _relative(self, node: Applied, at: Position, here: Context) -> Position:
        given = node.arguments[0] if node.arguments else None
        start = (given[0], given[1]) if given is not None else FIRST_REFERENCE
        return self._in_octaves(Reference(start), node, at, here, relative=1)

    def _absolute(self, node: Applied, at: Position, here: Context) -> Position:
        return self._in_octaves(Reference(), node, at, here)

    def _fixed(self, node: Applied, at: Position, here: Context) -> Position:
        return self._in_octaves(Reference(offset=node.arguments[0][0] - 3), node, at, here)

    def _in_octaves(
        self, reference: Reference, node: Applied, at: Position, here: Context, relative: int = 0
    ) -> Position:
        kept, self.reference = self.reference, reference
        self._relative_depth += relative
        try:
            return self.walk(node.bodies[0], at, here)
        finally:
            self.reference = kept
            self._relative_depth -= relative

    def _transpose(self, node: Applied, at: Position, here: Context) -> Position:
        kept = self.transposition
        self.transposition = Transposition.between(node.arguments[0], node.arguments[1]).then(kept)
        try:
            return self._in_octaves(Reference(), node, at, here)
        finally:
            self.transposition = kept

    def _scaled(self, node: Applied, at: Position, here: Context) -> Position:
        ratio = node.arguments[0]
        if not isinstance(ratio, Fraction) or ratio <= 0:
            return self._opaque(Opaque(node.start, node.end, f"the ratio of this \\{node.name} is not plain"), at, here)
        factor = 1 / ratio if node.name == "tuplet" else ratio
        return self._with_factor(factor, node.bodies[0], at, here)

    def _with_factor(self, factor: Fraction, body: Any, at: Position, here: Context) -> Position:
        kept = self.factor
        self.factor = kept * factor
        try:
            return self.walk(body, at, here)
        finally:
            self.factor = kept

    def _part_combine(self, node: Applied, at: Position, here: Context) -> Position:
        ends: list[Position] = [at]
        staff = self.tree.staff_of(here) if here.role != "other" else here
        for name, body in zip(("one", "two"), node.bodies, strict=True):
            voice = self.tree.enter(staff, "Voice", name, False, node.start, {})
            kept, self.reference = self.reference, Reference()
            ends.append(self.walk(body, at, voice))
            self.reference = kept
        return _latest_of(ends)

    def _auto_change(self, node: Applied, at: Position, here: Context) -> Position:
        first = len(self.collection.soundings)
        kept, self.reference = self.reference, Reference()
        end = self.walk(node.bodies[0], at, here)
        self.reference = kept
        turn = 28
        if node.arguments and isinstance(node.arguments[0], tuple):
            turn = node.arguments[0][0] * 7 + node.arguments[0][1]
        for sounding in self.collection.soundings[first:]:
            sounding.change = "up" if sounding.pitch.string >= turn else "down"
        return end

    def _voices(self, node: Applied, at: Position, here: Context) -> Position:
        body = node.bodies[0]
        if not isinstance(body, Simultaneous) or not body.voices:
            return self.walk(body, at, here)
        numbers = [int(number) for number in node.arguments[0] if str(number).isdigit()]
        if len(numbers) < len(body.voices):
            reason = "these voices are not numbered plainly"
            return self._opaque(Opaque(node.start, node.end, reason), at, here)
        return self._numbered(body.voices, numbers, at, here, node.start)

    def _skip_music(self, node: Applied, at: Position, here: Context) -> Position:
        return self._silently(node.bodies[0], at, here)

    def _unfold_repeats(self, node: Applied, at: Position, here: Context) -> Position:
        kept, self.unfolding = self.unfolding, True
        try:
            return self.walk(node.bodies[0], at, here)
        finally:
            self.unfolding = kept

    # ---- tags ----

    def _filtered(self, node: Applied, at: Position, here: Context) -> Position:
        names = frozenset(_tag_names(node.arguments[0]))
        if isinstance(node.bodies[0], list):
            return at
        self._filters.append(TagFilter(node.name == "keepWithTag", names, self._relative_depth))
        try:
            return self.walk(node.bodies[0], at, here)
        finally:
            self._filters.pop()

    def _tagged(self, node: Applied, at: Position, here: Context) -> Position:
        body = node.bodies[0]
        removed = self._removing(frozenset(_tag_names(node.arguments[0])))
        if isinstance(body, list):
            if removed is None:
                self._attach_late(body)
            return at
        if removed is None:
            return self.walk(body, at, here)
        if removed.depth < self._relative_depth:
            self._silently(body, at, here)
        return at

    def _removing(self, tags: frozenset[str]) -> TagFilter | None:
        """The filter that takes music with these tags away, if one does. Keeping looks only at the tags that
        share a group with one that is kept (tags in no ``\\tagGroup`` share one)."""
        for item in self._filters:
            if not item.keep and tags & item.names:
                return item
            groups = {self.tag_groups.get(name) for name in item.names}
            rivals = {name for name in tags if self.tag_groups.get(name) in groups}
            if item.keep and rivals and not rivals & item.names:
                return item
        return None

    # ---- repeats ----

    def _repeat(self, node: RepeatNode, at: Position, here: Context) -> Position:
        kind = "unfold" if self.unfolding and node.kind in ("volta", "tremolo", "percent", "segno") else node.kind
        if node.count < 1:
            return self._opaque(Opaque(node.start, node.end, f"this repeat counts {node.count}"), at, here)
        if kind == "unfold":
            return self._unfold(node, at, here)
        if kind == "tremolo":
            return self._with_factor(Fraction(node.count), node.body, at, here)
        if kind == "percent":
            end = self.walk(node.body, at, here)
            if at is None or end is None:
                return None
            return self._advance(at, (end[0] - at[0] + end[1] - at[1]) * node.count)
        if kind in ("volta", "segno"):
            return self._volta_repeat(node, at, here)
        return self._opaque(Opaque(node.start, node.end, f"there is no repeat of the kind {node.kind}"), at, here)

    def _volta_repeat(self, node: RepeatNode, at: Position, here: Context) -> Position:
        self._alternatives.append([])
        self._counts.append(node.count)
        end = self.walk(node.body, at, here)
        lead = self._lead
        body_end = end
        if node.alternatives is not None:
            end = self._play_alternatives(node.alternatives, end, here, node.count)
        spans = tuple(self._alternatives.pop())
        self._counts.pop()
        if at is not None and body_end is not None and not self._dry:
            self.collection.repeats.append((at[0], body_end[0], node.count, spans))
        self._lead = lead
        return end

    def _play_alternatives(self, node: Any, at: Position, here: Context, count: int) -> Position:
        items = _items_of(node)
        first = True
        for index, item in enumerate(items):
            begin = at
            self._stamp(at, "alternative", (id(node), first), here, item.start)
            first = False
            at = self.walk(item, at, here)
            if begin is not None and at is not None:
                passes = _passes(item, index, len(items), count)
                self._alternatives[-1].append((begin[0], at[0], passes))
        return at

    def _alternative_inside(self, node: Applied, at: Position, here: Context) -> Position:
        if self._turns:
            return self._one_alternative(node.bodies[0], at, here)
        if not self._alternatives:
            return self.walk(node.bodies[0], at, here)
        return self._play_alternatives(node.bodies[0], at, here, self._counts[-1])

    def _one_alternative(self, node: Any, at: Position, here: Context) -> Position:
        """The alternative of this turn of an unfolded repeat; octaves follow the text through all of them."""
        items = _items_of(node)
        chosen = _ending(items, self._turns[-1] - 1, self._counts[-1] if self._counts else len(items))
        end = at
        for index, item in enumerate(items):
            if index == chosen:
                end = self.walk(item, at, here)
            else:
                self._silently(item, None, here)
        return end

    def _volta(self, node: Applied, at: Position, here: Context) -> Position:
        body = node.bodies[-1]
        if isinstance(body, list):
            return at
        if self._turns and self._turns[-1] not in _volte(node):
            self._silently(body, None, here)
            return at
        return self.walk(body, at, here)

    def _unfolded(self, node: Applied, at: Position, here: Context) -> Position:
        if self._turns:
            return self.walk(node.bodies[-1], at, here)
        self._silently(node.bodies[-1], None, here)
        return at

    def _unfold(self, node: RepeatNode, at: Position, here: Context) -> Position:
        """Plays body and alternatives in turn; octaves follow the text once, however often it is played."""
        endings = _items_of(node.alternatives) if node.alternatives is not None else []
        memories: list[Any] = []
        lead = ZERO
        body_memory = self._remember()
        self._counts.append(node.count)
        for turn in range(node.count):
            if turn:
                self._recall(body_memory)
            self._turns.append(turn + 1)
            at = self.walk(node.body, at, here)
            if turn == 0:
                lead = self._lead
                after_body = self._remember()
                memories = [after_body]
            if endings:
                at = self._play_ending(endings, _ending(endings, turn, node.count), memories, at, here)
            self._turns.pop()
            if not self.collection.soundings and turn > 1000:
                break
        self._counts.pop()
        self._finish_endings(endings, memories, here)
        self._lead = lead
        return at

    def _play_ending(self, endings: list[Any], index: int, memories: list[Any], at: Position, here: Context) -> Position:
        while len(memories) <= index:
            self._recall(memories[-1])
            self._silently(endings[len(memories) - 1], None, here)
            memories.append(self._remember())
        self._recall(memories[index])
        at = self.walk(endings[index], at, here)
        if len(memories) == index + 1:
            memories.append(self._remember())
        return at

    def _finish_endings(self, endings: list[Any], memories: list[Any], here: Context) -> None:
        while memories and len(memories) <= len(endings):
            self._recall(memories[-1])
            self._silently(endings[len(memories) - 1], None, here)
            memories.append(self._remember())
        if endings:
            self._recall(memories[-1])

    def _remember(self) -> tuple[Any, ...]:
        return (self.reference.relative, self.reference.lost, self._chord, self._last)

    def _recall(self, memory: tuple[Any, ...]) -> None:
        self.reference.relative, self.reference.lost, self._chord, self._last = memory


def _tag_names(given: Any) -> tuple[str, ...]:
    return tuple(given) if isinstance(given, tuple) else (str(given),)


def _items_of(node: Any) -> list[Any]:
    if isinstance(node, VariableUse) and node.music is not None:
        return _items_of(node.music)
    return node.items if isinstance(node, Sequential | Simultaneous) else [node]


def _passes(item: Any, index: int, many: int, count: int) -> tuple[int, ...]:
    """The passes in which an alternative is played: as ``\\volta`` says, else the first takes up the surplus."""
    if isinstance(item, Applied) and item.name == "volta":
        return _volte(item)
    surplus = max(0, count - many)
    if index == 0:
        return tuple(range(1, surplus + 2)) if surplus < 100 else (1,)
    return (surplus + index + 1,)


def _volte(node: Applied) -> tuple[int, ...]:
    return tuple(int(number) for number in _tag_names(node.arguments[0]) if str(number).isdigit())


def _ending(endings: list[Any], turn: int, count: int) -> int:
    """Which alternative follows the body in a turn (from 0): as ``\\volta`` says, else the first takes the surplus."""
    for index, item in enumerate(endings):
        if isinstance(item, Applied) and item.name == "volta" and turn + 1 in _volte(item):
            return index
    return max(0, len(endings) - (count - turn))


def _latest_of(ends: list[Position]) -> Position:
    known = [end for end in ends if end is not None]
    return max(known) if len(known) == len(ends) else None


def _marks(posts: list[Post]) -> tuple[set[str], bool, bool]:
    """Marks, whether a tie begins, and whether a ``\\repeatTie`` ends here."""
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
    return marks, tie, tied
