"""Commands that are applied to music: octaves, transposition, tuplets, graces, tags."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from .arguments import whole_number
from .contexts import Context
from .events import Events
from .pitches import FIRST_REFERENCE, Reference, Transposition
from .syntax import Applied, Opaque, Simultaneous
from .walk import ZERO, Position, TagFilter, latest_of


class Functions(Events):
    """The part of the walk that changes how the music inside is taken."""

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
        written_out, self._written_out = self._written_out, False
        self._relative_depth += relative
        try:
            return self.walk(node.bodies[0], at, here)
        finally:
            self.reference = kept
            self._written_out = written_out
            self._relative_depth -= relative

    def _with_chords_written_out(self, node: Applied, at: Position, here: Context) -> Position:
        r"""``\chordRepeats`` writes out each ``q``; a ``\relative`` around it finds octaves for what is written."""
        kept, self._written_out = self._written_out, True
        outside, self._chord_outside = self._chord_outside, self._chord
        try:
            return self.walk(node.bodies[-1], at, here)
        finally:
            self._written_out = kept
            self._chord_outside = outside

    def _transpose(self, node: Applied, at: Position, here: Context) -> Position:
        kept = self.transposition
        self.transposition = Transposition.between(node.arguments[0], node.arguments[1]).then(kept)
        try:
            return self._in_octaves(Reference(offset=self.reference.offset), node, at, here)
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

    # ---- graces and what stands beside the music ----

    def _grace_group(self, node: Applied, at: Position, here: Context) -> Position:
        if at is None or isinstance(node.bodies[0], list):
            self.walk(node.bodies[0], None, here)
            return at
        outer, self._grace = self._grace, True
        before, tail = self.collection.size(), self._tail
        end = self.walk(node.bodies[0], (at[0], at[1]), here)
        self._grace, self._tail = outer, tail
        if end is None:
            return None
        length = end[1] - at[1]
        self.collection.shift_grace(before, self.collection.size(), -length)
        self._lead = -length
        return at

    def _after_grace(self, node: Applied, at: Position, here: Context) -> Position:
        if here.role != "voice" and not self._dry:
            here = self.tree.bottom_of(here) or here
        end = self.walk(node.bodies[0], at, here)
        lead = self._lead
        if at is None or end is None:
            self.walk(node.bodies[1], None, here)
            return end
        share = node.arguments[0] if node.arguments and isinstance(node.arguments[0], Fraction) else Fraction(3, 4)
        begin = (at[0] + (end[0] - at[0]) * share, ZERO)
        self._grace_group(Applied(node.start, node.end, "grace", (), [node.bodies[1]]), begin, here)
        self._lead = lead
        self.tree.reached = here
        return end

    def _after(self, node: Applied, at: Position, here: Context) -> Position:
        """``\\after 4 event music``: the event a quarter after the music's beginning."""
        event, music = node.bodies
        delay = node.arguments[0]
        ends: list[Position] = []
        if not isinstance(event, list) and isinstance(delay, Fraction):
            ends.append(self.walk(event, self._advance(at, delay * self.factor), here))
        ends.append(self.walk(music, at, here))
        return latest_of(ends)

    def _pitched_trill(self, node: Applied, at: Position, here: Context) -> Position:
        end = self.walk(node.bodies[0], at, here)
        self._silently(node.bodies[1], None, here)
        return end

    def _other_pitches(self, node: Applied, at: Position, here: Context) -> Position:
        """Music whose notes sound elsewhere than they are written, at the moments that are written."""
        if not self._dry:
            self._lose(node.start, node.end, f"\\{node.name} changes its music")
        memory = self._remember()
        self.walk(node.bodies[-1], None, here)
        self._recall(memory)
        return self._silently(node.bodies[-1], at, here)

    def _backwards(self, node: Applied, at: Position, here: Context) -> Position:
        """``\\retrograde``: it lasts as long as what is written. What follows the text (octaves, ``q``) would have to
        follow it backwards, and is not known behind it."""
        end = self._other_pitches(node, at, here)
        self._lead = ZERO  # grace notes that it begins with come last
        self.reference.lost = self.reference.lost or self.reference.relative is not None
        self._chord = (*self._chord[:2], False) if self._chord is not None else None
        self._last = (*self._last[:2], False) if self._last is not None else None
        return end

    def _skip_music(self, node: Applied, at: Position, here: Context) -> Position:
        return self._silently(node.bodies[0], at, here)

    # ---- voices and staves ----

    def _part_combine(self, node: Applied, at: Position, here: Context) -> Position:
        ends: list[Position] = [at]
        staff = self.tree.staff_of(here) if here.role != "other" else here
        for name, body in zip(("one", "two"), node.bodies, strict=True):
            voice = self.tree.enter(staff, "Voice", name, node.start, {}, new=False)
            kept, self.reference = self.reference, Reference(offset=self.reference.offset)
            ends.append(self.walk(body, at, voice))
            self.reference = kept
        self.tree.reached = staff
        return latest_of(ends)

    def _auto_change(self, node: Applied, at: Position, here: Context) -> Position:
        first = len(self.collection.soundings)
        kept, self.reference = self.reference, Reference(offset=self.reference.offset)
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
        words = node.arguments[0]
        numbers = [number for word in words if (number := whole_number(str(word))) is not None]
        if len(numbers) < len(words):
            reason = "these voices are not numbered plainly"
            return self._opaque(Opaque(node.start, node.end, reason), at, here)
        numbers += range(1, 100)  # what has no number begins at the first again
        kept, self._numbers = self._numbers, numbers  # for all voices within, too
        try:
            return self._numbered(body.voices, numbers, at, here, node.start)
        finally:
            self._numbers = kept

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
        self._unheard = None
        self.tree.reached = here if here.role in ("voice", "other") else self.tree.staff_of(here)
        return latest_of(ends)

    # ---- tags ----

    def _filtered(self, node: Applied, at: Position, here: Context) -> Position:
        names = frozenset(tag_names(node.arguments[0]))
        if isinstance(node.bodies[0], list):
            return at
        self._filters.append(TagFilter(node.name == "keepWithTag", names, self._relative_depth))
        try:
            return self.walk(node.bodies[0], at, here)
        finally:
            self._filters.pop()

    def _tagged(self, node: Applied, at: Position, here: Context) -> Position:
        body = node.bodies[0]
        tags = frozenset(tag_names(node.arguments[0]))
        while isinstance(body, Applied) and body.name == "tag":  # tags of the same music
            tags, body = tags | frozenset(tag_names(body.arguments[0])), body.bodies[0]
        removed = self._removing(tags)
        if isinstance(body, list):
            if removed is None:
                self._attach_late(body)
            return at
        if removed is None:
            return self.walk(body, at, here)
        if removed.depth < self._relative_depth:
            self._silently(body, at, here)
        return at


def tag_names(given: Any) -> tuple[str, ...]:
    """Names given as a path, or as one word."""
    return tuple(given) if isinstance(given, tuple) else (str(given),)
