"""Costs looked up instead of worked out again: the rules, asked once for each thing that can occur.

All values are plain ints in thousandths, already weighted. A table belongs to one hand and one set of settings.
What they hand out is interned (:mod:`~lyfinger.fingering.interned`): one :class:`Pluck` for equal onsets, one
:class:`Grip` for equal shapes, so that they serve as keys by identity.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from operator import attrgetter
from typing import Any

from ..harp.hand import HandProfile
from ..harp.reach import FINGERINGS, Reach
from .asking import Asked, Circle, said
from .interned import (
    NUMBER,
    Block,
    End,
    Entries,
    Face,
    Fingers,
    Grip,
    Heard,
    Openings,
    Passing,
    Pluck,
    Setting,
)
from .model import Onset
from .problems import options
from .registry import Occasion
from .settings import Settings
from .views import Change, Early, Form, Move, Order, Shape, Start, Strike

ALL_FINGERS = 0b11110
"""The set of fingers 1–4 as bits: finger f is bit f."""

_FULL = 1 << 16

_HEARD = attrgetter(
    "strings", "grace", "accent", "slur_start", "thumb_only", "rolled", "glissando", "trill", "kept"
)  # fmt: skip
_ASKED = attrgetter(
    "strings", "locks", "stress", "grace", "accent", "slur_start", "thumb_only", "rolled", "glissando", "trill", "kept"
)


class Tables:
    """The costs of one hand under one set of settings."""

    def __init__(self, hand: HandProfile, settings: Settings) -> None:
        self.settings = settings
        self.reach = Reach(hand, settings.harp)
        self._shape = Circle(settings, Occasion.SHAPE)
        self._order = Circle(settings, Occasion.ORDER).all
        self._start = Circle(settings, Occasion.START).all
        self._early = Circle(settings, Occasion.EARLY).all
        self._strike = Circle(settings, Occasion.STRIKE)
        self._inside = Circle(settings, Occasion.REPEAT, Occasion.INSIDE)
        self._shift = Circle(settings, Occasion.REPEAT, Occasion.SHIFT)
        self._change = Circle(settings, Occasion.CHANGE)
        self.phrases: dict[object, Any] = {}
        self._plucks: dict[object, Pluck] = {}
        self._settings: dict[tuple[int, ...], Setting] = {}
        self._strained: dict[tuple[tuple[int, ...], frozenset[Fingers]], Setting] = {}
        self._openings: dict[object, Openings] = {}
        self._ends: dict[tuple[Fingers, Form], End] = {}
        self._faces: dict[object, Face] = {}
        self._entries: dict[tuple[Face, ...], Entries] = {}
        self._orders: dict[tuple[tuple[int, ...], ...], int] = {}
        self._heard: dict[object, Heard] = {}
        self._passings: dict[tuple[Pluck, Pluck, int], Passing] = {}
        self._alike: dict[tuple[Any, ...], Passing] = {}
        self._changes: dict[tuple[Form, Form, int], int] = {}
        self._earlies: dict[tuple[int, int, int], int] = {}
        self._going_on: dict[tuple[Pluck, Pluck, Passing], dict[Grip, int]] = {}
        self._shape_asked: dict[int, Asked] = {}
        self._blocks: dict[tuple[tuple[int, ...], tuple[int, ...]], Block] = {}

    def trim(self) -> None:
        """Forget what was looked up where it has grown large; nothing but time is lost."""
        tables: list[dict[Any, Any]] = [
            self.phrases, self._plucks, self._settings, self._strained, self._openings, self._ends, self._faces,
            self._entries, self._heard, self._orders, self._passings, self._alike, self._changes, self._earlies,
            self._going_on, self._blocks,
        ]  # fmt: skip
        if max(map(len, tables)) > _FULL:
            for table in tables:
                table.clear()

    def pluck(self, onset: Onset, glide: int, masks: tuple[int, ...] = ()) -> Pluck:
        """The interned onset. ``masks`` leave each note only the fingers in its set of bits."""
        key = (_ASKED(onset), glide, masks)
        found = self._plucks.get(key)
        if found is None:
            found = self._plucks[key] = self._new_pluck(onset, glide, masks)
        return found

    def _new_pluck(self, onset: Onset, glide: int, masks: tuple[int, ...]) -> Pluck:
        fingerings = options(onset, self.reach)
        strained = bool(fingerings) and not self.reach.allows(onset.strings, fingerings[0])
        if masks:
            fingerings = tuple(f for f in fingerings if all(m >> d & 1 for m, d in zip(masks, f, strict=True)))
        pluck = Pluck(onset, self._as_heard(onset, glide), glide, frozenset(fingerings), strained)
        if len(onset.strings) == 1 and len(fingerings) == 4:
            pluck.even = self._even(pluck)
        return pluck

    def _as_heard(self, onset: Onset, glide: int) -> Heard:
        key = (_HEARD(onset), glide)
        found = self._heard.get(key)
        if found is None:
            found = self._heard[key] = Heard(onset, glide)
            found.asked = self._strike.concerned(Strike(found.onset, (), 0, True, glide, self.reach))
        return found

    def _even(self, pluck: Pluck) -> tuple[int, int] | None:
        if not pluck.heard.asked:
            return 0, 0
        known = pluck.heard.even
        if pluck.allowed not in known:
            inside, first = (
                {self.strike(pluck, fingers, shape, first) for fingers in pluck.allowed for shape in range(1, 5)}
                for first in (False, True)
            )
            known[pluck.allowed] = (inside.pop(), first.pop()) if len(inside) == len(first) == 1 else None
        return known[pluck.allowed]

    def _setting(self, strings: tuple[int, ...]) -> Setting:
        """Every shape within reach on these strings."""
        found = self._settings.get(strings)
        if found is None:
            possible = self.reach.allowed(strings, FINGERINGS[len(strings)])
            found = self._settings[strings] = Setting(self._gripped(strings, possible))
        return found

    def _gripped(self, strings: tuple[int, ...], possible: Iterable[Fingers]) -> tuple[Grip, ...]:
        asked = self._shape_asked.get(len(strings))
        if asked is None:
            asked = self._shape_asked[len(strings)] = self._shape.concerned(Shape(strings, (), self.reach))
        return tuple([Grip(strings, held, said(asked, Shape(strings, held, self.reach))) for held in possible])

    def end(self, grip: Grip, strings: tuple[int, ...]) -> End:
        """How a placing looks to its neighbour when it ends on these of its strings."""
        found = grip.ends.get(strings)
        if found is None:
            of = grip.of
            key = (tuple([of[string] for string in strings]), grip.form)
            found = self._ends.get(key)
            if found is None:
                found = self._ends[key] = End(*key)
            grip.ends[strings] = found
        return found

    def _block(self, strings: tuple[int, ...], first: tuple[int, ...]) -> Block:
        """The shapes on these strings, for placings that strike ``first`` first."""
        key = (strings, first)
        found = self._blocks.get(key)
        if found is None:
            found = self._blocks[key] = self._faced(self._setting(strings), first)
        return found

    def _faced(self, setting: Setting, first: tuple[int, ...]) -> Block:
        grips = setting.grips
        base = grips[0].strings[0] if grips else 0
        key = (setting.steps, setting.fingers, tuple([string - base for string in first]))
        face = self._faces.get(key)
        if face is None:
            firsts = tuple([NUMBER[tuple([grip.of[string] for string in first])] for grip in grips])
            face = self._faces[key] = Face(firsts, tuple([grip.form for grip in grips]))
        return Block(setting, face)

    def _strained_setting(self, pluck: Pluck) -> Setting:
        """Locked fingers beyond a pair's greatest spread: shapes of their own, for this onset only."""
        key = (pluck.strings, pluck.allowed)
        found = self._strained.get(key)
        if found is None:
            found = self._strained[key] = Setting(self._gripped(pluck.strings, sorted(pluck.allowed)))
        return found

    def strike(self, pluck: Pluck, fingers: Fingers, shape: int, first: bool) -> int:
        """What one onset costs inside a placing of ``shape`` strings."""
        if not pluck.heard.asked:
            return 0
        key = (fingers, shape, first)
        costs = pluck.heard.costs
        cost = costs.get(key)
        if cost is None:
            view = Strike(pluck.heard.onset, fingers, shape, first, pluck.glide, self.reach)
            cost = costs[key] = said(pluck.heard.asked, view)
        return cost

    def passing(self, before: Pluck, after: Pluck, haste: int) -> Passing:
        """The interned pair of onsets running."""
        key = (before, after, haste)
        found = self._passings.get(key)
        if found is None:
            found = self._passings[key] = self._new_passing(before, after, haste)
        return found

    def _new_passing(self, before: Pluck, after: Pluck, haste: int) -> Passing:
        base = before.strings[0]
        old = tuple([string - base for string in before.strings])
        new = tuple([string - base for string in after.strings])
        key = (old, new, haste, before.onset.grace, before.glide != 0)
        found = self._alike.get(key)
        if found is None:
            found = self._alike[key] = Passing(*key)
            move = self._move(found, (), ())
            found.inside_asked, found.shift_asked = self._inside.concerned(move), self._shift.concerned(move)
            if not found.inside_asked:
                found.even = 0
            elif len(old) == len(new) == 1:
                way = (new > old) - (new < old)
                pairs = [(f, g) for f in FINGERINGS[1] for g in FINGERINGS[1] if (f > g) - (f < g) == way]
                costs = {self.inside(found, *pair) for pair in pairs}
                found.even = costs.pop() if len(costs) == 1 else -1
        return found

    def shifts(self, passing: Passing, held: Fingers) -> tuple[int, ...]:
        """What it costs to go from one onset to the next in a new placing, for each fingering of the next one."""
        found = passing.shifts.get(held)
        if found is None:
            moves = [self._move(passing, held, after) for after in FINGERINGS[len(passing.new)]]
            found = passing.shifts[held] = tuple([said(passing.shift_asked, move) for move in moves])
        return found

    def inside(self, passing: Passing, before: Fingers, after: Fingers) -> int:
        """What it costs to go from one onset to the next in the same placing."""
        if not passing.inside_asked:
            return 0
        key = (before, after)
        cost = passing.insides.get(key)
        if cost is None:
            move = self._move(passing, before, after)
            cost = passing.insides[key] = said(passing.inside_asked, move)
        return cost

    def _move(self, passing: Passing, before: Fingers, after: Fingers) -> Move:
        return Move(passing.old, before, passing.new, after, passing.haste, passing.grace, passing.glide)

    def order(self, heights: tuple[tuple[int, ...], ...]) -> int:
        """What the order of a placing's strings costs; they are counted from the lowest of its first onset."""
        cost = self._orders.get(heights)
        if cost is None:
            cost = self._orders[heights] = said(self._order, Order(heights))
        return cost

    def change(self, before: Form, after: Form, haste: int) -> int:
        """What it costs to go from one shape to the next."""
        key = (before, after, haste)
        cost = self._changes.get(key)
        if cost is None:
            cost = self._changes[key] = said(self._change.all, Change(before, after, haste))
        return cost

    def row(self, entries: Entries, passing: Passing, end: End) -> list[int]:
        """What it costs to pass to each of the entries from the end of a placing."""
        key = (passing, end)
        found = entries.rows.get(key)
        if found is None:
            changes = self._changes_to(entries, end.form, passing.haste)
            shifts = self.shifts(passing, end.held)
            found = entries.rows[key] = [
                shifts[first] + cost for first, cost in zip(entries.firsts, changes, strict=True)
            ]
        return found

    def _changes_to(self, entries: Entries, form: Form, haste: int) -> list[int]:
        key = (form, haste)
        found = entries.changes.get(key)
        if found is None:
            found = entries.changes[key] = []
            for face in entries.faces:
                costs = face.changes.get(key)
                if costs is None:
                    costs = face.changes[key] = self._changes_of(face, form, haste)
                found += costs
        return found

    def _changes_of(self, face: Face, form: Form, haste: int) -> list[int]:
        if not face.forms or not self._change.concerned(Change(form, face.forms[0], haste)):
            return [0] * len(face.forms)
        return [self.change(form, new, haste) for new in face.forms]

    def early(self, string: int, ago: int, haste: int) -> int:
        """What it costs to set a string early that has just sounded."""
        key = (string, ago, haste)
        cost = self._earlies.get(key)
        if cost is None:
            cost = self._earlies[key] = said(self._early, Early(*key))
        return cost

    def going_on(self, before: Pluck, after: Pluck, passing: Passing) -> dict[Grip, int]:
        """What it costs to go on from one onset to the next in the same placing, as far as it is known."""
        return self._going_on.setdefault((before, after, passing), {})

    def goes_on(self, grip: Grip, before: Pluck, after: Pluck, passing: Passing) -> int:
        """The same for one placing, worked out; −1 where it can't go on."""
        of = grip.of
        fingers = tuple([of.get(string, 0) for string in after.strings])
        if fingers not in after.allowed:
            return -1
        held = tuple([of[string] for string in before.strings])
        return self.strike(after, fingers, len(of), False) + self.inside(passing, held, fingers)

    def openings(self, plucks: tuple[Pluck, ...], passings: tuple[Passing, ...]) -> Openings:
        """The ways to start a placing at the first of ``plucks``, whose strings are all in one hand's four."""
        key = (plucks, passings)
        found = self._openings.get(key)
        if found is None:
            found = self._openings[key] = self._open(plucks, passings)
        return found

    def _open(self, plucks: tuple[Pluck, ...], passings: tuple[Passing, ...]) -> Openings:
        ways: list[tuple[int, Sequence[Grip], list[int]]] = []
        faces: list[Face] = []
        first = plucks[0].strings
        start = self._starting(plucks[0])
        heights = [tuple([string - first[0] for string in pluck.strings]) for pluck in plucks]
        strings: set[int] = set()
        even = 0
        for last, pluck in enumerate(plucks):
            if even >= 0:
                even = self._evenly(even, pluck, passings[last - 1] if last else None)
            if strings.issuperset(pluck.strings):
                continue
            strings.update(pluck.strings)
            if pluck.strained and not last:
                block = self._faced(self._strained_setting(pluck), first)
            else:
                block = self._block(tuple(sorted(strings)), first)
            if not block.grips:
                break
            own = start + self.order(tuple(heights[: last + 1]))
            if even >= 0:
                costs = [cost + own + even for cost in block.costs]
            else:
                block, costs = self._possible(block, first, own, plucks[: last + 1], passings)
            ways.append((last + 1, block.grips, costs))
            faces.append(block.face)
        each = tuple(faces)
        if each not in self._entries:
            self._entries[each] = Entries(each)
        return Openings(self._entries[each], ways)

    def _starting(self, pluck: Pluck) -> int:
        """What it costs that a placing starts with an onset."""
        if pluck.start < 0:
            pluck.start = said(self._start, Start(pluck.onset))
        return pluck.start

    def _possible(
        self, block: Block, first: tuple[int, ...], own: int, plucks: tuple[Pluck, ...], passings: tuple[Passing, ...]
    ) -> tuple[Block, list[int]]:
        """What is left of a block by the digits that the onsets allow, and what each way costs."""
        played = [self._played(grip, plucks, passings) for grip in block.grips]
        costs = [cost + own + more for cost, more in zip(block.costs, played, strict=True) if more >= 0]
        if len(costs) < len(played):
            left = tuple([grip for grip, more in zip(block.grips, played, strict=True) if more >= 0])
            block = self._faced(Setting(left), first)
        return block, costs

    def _evenly(self, so_far: int, pluck: Pluck, passing: Passing | None) -> int:
        """What a placing has cost beside its shape, one more onset included; −1 where that hangs on the fingers."""
        if pluck.even is None:
            return -1
        if passing is None:
            return pluck.even[True]
        return -1 if passing.even < 0 else so_far + pluck.even[False] + passing.even

    def _played(self, grip: Grip, plucks: tuple[Pluck, ...], passings: tuple[Passing, ...]) -> int:
        """What playing these onsets from one shape costs beside the shape; −1 where a digit is not allowed."""
        of, cost = grip.of, 0
        held: Fingers = ()
        for place, pluck in enumerate(plucks):
            fingers = tuple([of[string] for string in pluck.strings])
            if fingers not in pluck.allowed:
                return -1
            cost += self.strike(pluck, fingers, len(of), place == 0)
            if place:
                cost += self.inside(passings[place - 1], held, fingers)
            held = fingers
        return cost


@lru_cache(maxsize=8)
def tables_for(hand: HandProfile, settings: Settings) -> Tables:
    """The tables of a hand and its settings, kept for the next passage."""
    return Tables(hand, settings)


def forget_tables() -> None:
    """Give back the room that all tables take, for a run in which nothing more is searched."""
    tables_for.cache_clear()
