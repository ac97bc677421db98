"""Repeats: printed once with their alternatives, or unfolded."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from ..score.model import Repeat
from ..source.messages import Refused
from .arguments import whole_number
from .contexts import Context
from .functions import Functions, tag_names
from .syntax import Applied, Opaque, RepeatNode, Sequential, Simultaneous, VariableUse
from .walk import MAX_NOTES, ZERO, Position

FOLDED = frozenset({"volta", "tremolo", "percent", "segno"})
"""The kinds of repeat that ``\\unfoldRepeats`` writes out."""


class Repeats(Functions):
    """The part of the walk that goes through repeats."""

    def _repeat(self, node: RepeatNode, at: Position, here: Context) -> Position:
        kind = "unfold" if node.kind in self.unfolding else node.kind
        if node.count < 1:
            return self._opaque(Opaque(node.start, node.end, f"this repeat counts {node.count}"), at, here)
        if kind == "unfold":
            return self._unfold(node, at, here)
        if kind == "tremolo":
            return self._tremolo(node, at, here)
        if kind == "percent":
            end = self.walk(node.body, at, here)
            if at is None or end is None:
                return None
            return self._advance(at, (end[0] - at[0] + end[1] - at[1]) * node.count)
        if kind in ("volta", "segno"):
            return self._volta_repeat(node, at, here)
        return self._opaque(Opaque(node.start, node.end, f"there is no repeat of the kind {node.kind}"), at, here)

    def _tremolo(self, node: RepeatNode, at: Position, here: Context) -> Position:
        """A tremolo of one note or chord is the same as one with strokes through its stem; so is one between two notes
        of the same pitch, which begins with its first."""
        before = len(self.collection.soundings)
        end = self._with_factor(Fraction(node.count), node.body, at, here)
        soundings = self.collection.soundings[before:]
        first = [item for item in soundings if (item.moment, item.grace) == (soundings[0].moment, soundings[0].grace)]
        if len(first) == len(soundings) or len({item.pitch for item in soundings}) == 1:
            for item in first:
                item.marks |= {"tremolo"}
        return end

    def _volta_repeat(self, node: RepeatNode, at: Position, here: Context) -> Position:
        self._alternatives.append([])
        self._counts.append(node.count)
        turns, self._turns = self._turns, []  # an unfolded repeat around this one chooses nothing in it
        self._kinds.append(node.kind)
        end = self.walk(node.body, at, here)
        lead = self._lead
        body_end = end
        self.tree.reached = here = self.tree.descend(here)
        if node.alternatives is not None:
            end = self._play_alternatives(node.alternatives, end, here, node.count)
        spans = tuple(self._alternatives.pop())
        self._counts.pop()
        self._turns = turns
        self._kinds.pop()
        if at is not None and body_end is not None and not self._dry:
            self.collection.repeats.append(Repeat(at[0], body_end[0], node.count, spans))
        self._lead = lead
        return end

    def _play_alternatives(self, node: Any, at: Position, here: Context, count: int) -> Position:
        items = _items_of(node)
        if not any(isinstance(item, Applied) and item.name == "volta" for item in items):
            items = items[:count]  # what is never played is never printed
        for index, item in enumerate(items):
            begin = at
            before = self.collection.size()
            self._stamp(at, "alternative", (id(node), index == 0, self._kinds[-1] == "volta"), here, item.start)
            behind = self.collection.size()
            at = self.walk(item, at, here)
            here = self.tree.descend(here)
            if self._lead:
                self.collection.shift_grace(before, behind, self._lead)  # it begins with its grace notes
            if begin is not None and at is not None:
                passes = _passes(item, index, len(items), count)
                self._alternatives[-1].append((begin[0], at[0], passes))
        self.tree.reached = here
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

    def _unfold_repeats(self, node: Applied, at: Position, here: Context) -> Position:
        given = frozenset(tag_names(node.arguments[0])) if node.arguments and node.arguments[0] else FOLDED
        kept, self.unfolding = self.unfolding, self.unfolding | given
        try:
            return self.walk(node.bodies[0], at, here)
        finally:
            self.unfolding = kept

    # ---- unfolding ----

    def _unfold(self, node: RepeatNode, at: Position, here: Context) -> Position:
        """Plays body and alternatives in turn; octaves follow the text once, however often it is played."""
        endings = _items_of(node.alternatives) if node.alternatives is not None else []
        memories: list[Any] = []
        lead = ZERO
        begin, before = at, self._notes_and_rests()
        body_memory = self._remember()
        self._counts.append(node.count)
        for turn in range(node.count):
            if turn:
                self._recall(body_memory)
            self._turns.append(turn + 1)
            at = self.walk(node.body, at, here)
            here = self.tree.descend(here)
            if turn == 0:
                lead = self._lead
                memories = [self._remember()]
            if endings:
                at = self._play_ending(endings, _ending(endings, turn, node.count), memories, at, here)
                here = self.tree.descend(here)
            self._turns.pop()
            if turn == 0 and not endings:
                found = self._notes_and_rests() - before
                self._refuse_endless(node, found)
                if not found:
                    at = _many_times(begin, at, node.count)
                    break
            elif turn == 0:
                self._refuse_endless(node, max(1, self._notes_and_rests() - before))
        self._counts.pop()
        self._finish_endings(endings, memories, here)
        self.tree.reached = here
        self._lead = lead
        return at

    def _notes_and_rests(self) -> int:
        return len(self.collection.soundings) + len(self.collection.gaps)

    def _refuse_endless(self, node: RepeatNode, found: int) -> None:
        if found * node.count > MAX_NOTES:
            place = self.sources.place(node.start)
            raise Refused(f"this repeat makes more than {MAX_NOTES} notes and rests", place)

    def _play_ending(
        self, endings: list[Any], index: int, memories: list[Any], at: Position, here: Context
    ) -> Position:
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
    words = tag_names(node.arguments[0])
    return tuple(number for word in words if (number := whole_number(str(word))) is not None)


def _ending(endings: list[Any], turn: int, count: int) -> int:
    """Which alternative follows the body in a turn (from 0): as ``\\volta`` says, else the first takes the surplus."""
    for index, item in enumerate(endings):
        if isinstance(item, Applied) and item.name == "volta" and turn + 1 in _volte(item):
            return index
    return turn if len(endings) > count else max(0, len(endings) - (count - turn))


def _many_times(begin: Position, end: Position, count: int) -> Position:
    """Where ``count`` turns end of which the first went from ``begin`` to ``end``."""
    if begin is None or end is None:
        return None
    return begin[0] + (end[0] - begin[0]) * count, begin[1] + (end[1] - begin[1]) * count
