"""Costs looked up instead of worked out again: the rules, asked once for each thing that can occur.

All values are plain ints in thousandths, already weighted. A table belongs to one hand and one set of settings.
Objects are interned (one :class:`Pluck` for equal onsets, one :class:`Grip` for equal shapes), so that they serve
as keys by identity.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any, NamedTuple

from lyfinger.fingering.model import Onset
from lyfinger.fingering.problems import options
from lyfinger.fingering.registry import RULES, Occasion
from lyfinger.fingering.settings import Settings
from lyfinger.fingering.views import Change, Early, Form, Move, Order, Shape, Start, Strike, form_of, heard
from lyfinger.harp.hand import HandProfile
from lyfinger.harp.reach import FINGERINGS, Reach

Fingers = tuple[int, ...]

ALL_FINGERS = 0b11110
"""The set of fingers 1–4 as bits: finger f is bit f."""

End = tuple[Fingers, Form]
"""One end of a placing: the fingers of its first or last onset, and the form of its shape."""

_FULL = 1 << 16


class Grip:
    """A placing's strings with their fingers, and what the shape costs. ``form`` is what shape-change compares."""

    __slots__ = ("cost", "ends", "fingers", "form", "of", "strings")

    def __init__(self, strings: tuple[int, ...], fingers: Fingers, cost: int) -> None:
        self.strings = strings
        self.fingers = fingers
        self.cost = cost
        self.of = dict(zip(strings, fingers, strict=True))
        self.form: Form = form_of(strings, fingers)
        self.ends: dict[tuple[int, ...], End] = {}

    def end(self, strings: tuple[int, ...]) -> End:
        """How the placing looks to its neighbour when it starts or ends on these of its strings."""
        found = self.ends.get(strings)
        if found is None:
            found = self.ends[strings] = (tuple([self.of[string] for string in strings]), self.form)
        return found


class Heard:
    """What the rules on single onsets see of one, and what they have said of it, by fingers, size of the placing, and
    whether it is its first."""

    __slots__ = ("costs", "even", "glide", "onset")

    def __init__(self, onset: Onset, glide: int) -> None:
        self.onset = heard(onset)
        self.glide = glide
        self.costs: dict[tuple[Fingers, int, bool], int] = {}
        self.even: dict[frozenset[Fingers], tuple[int, int] | None] = {}


class Pluck:
    """An onset without its identity: equal onsets of a passage share it. ``allowed`` are its possible fingers.

    ``even``: what it costs for itself (inside a placing, as its first onset) where that is the same for all fingers
    and shapes, as for most single notes; None elsewhere.
    """

    __slots__ = ("allowed", "even", "glide", "heard", "onset", "strained", "strings")

    def __init__(self, onset: Onset, heard: Heard, glide: int, allowed: frozenset[Fingers], strained: bool) -> None:
        self.onset = onset
        self.heard = heard
        self.glide = glide
        self.allowed = allowed
        self.strained = strained
        self.strings = onset.strings
        self.even: tuple[int, int] | None = None


class Passing:
    """Two onsets running, in any register: the same strings apart, with the same haste.

    ``steps`` remembers what it costs to pass by given fingers (before, after, into a new placing or not);
    ``even``: what it costs inside a placing where that is the same for all fingers, as between most single notes;
    −1 elsewhere.
    """

    __slots__ = ("even", "glide", "grace", "haste", "new", "old", "steps")

    def __init__(self, old: tuple[int, ...], new: tuple[int, ...], haste: int, grace: bool, glide: bool) -> None:
        self.old = old
        self.new = new
        self.haste = haste
        self.grace = grace
        self.glide = glide
        self.steps: dict[tuple[Fingers, Fingers, bool], int] = {}
        self.even = -1


class Row(NamedTuple):
    """What it costs to come from one placing to each of several entries, and the least of it."""

    steps: tuple[int, ...]
    least: int


class Entries:
    """The different beginnings of the openings at an onset.

    ``each`` is made of few first fingers and few forms: ``which`` says which. ``rows`` remembers what it costs to come
    to each entry, by passing and the end behind it; ``changes`` what it costs to change to each form.
    """

    __slots__ = ("changes", "firsts", "forms", "rows", "which")

    def __init__(self, each: tuple[End, ...]) -> None:
        self.firsts = tuple(dict.fromkeys(fingers for fingers, _ in each))
        self.forms = tuple(dict.fromkeys(form for _, form in each))
        first = {fingers: index for index, fingers in enumerate(self.firsts)}
        forms = {form: index for index, form in enumerate(self.forms)}
        self.which = tuple((first[fingers], forms[form]) for fingers, form in each)
        self.rows: dict[tuple[Passing, End], Row] = {}
        self.changes: dict[tuple[Form, int], list[int]] = {}


class Openings:
    """Every way to start a placing at one onset of a chain, up to the onset that completes its shape.

    ``ways`` hold (onsets, entry, grip, cost).
    """

    __slots__ = ("entries", "ways")

    def __init__(self, entries: Entries, ways: list[tuple[int, int, Grip, int]]) -> None:
        self.entries = entries
        self.ways = ways


def _asker(occasion: Occasion, settings: Settings) -> Callable[[Any], int]:
    """What all rules of an occasion together say of a view, weighted."""
    weighed = [(settings.weight(rule.name), rule.assess) for rule in RULES if rule.occasion is occasion]
    asked = [(weight, assess) for weight, assess in weighed if weight]

    def cost(view: Any) -> int:
        total = 0
        for weight, assess in asked:
            total += weight * assess(view)
        return total

    return cost


class Tables:
    """The costs of one hand under one set of settings."""

    def __init__(self, hand: HandProfile, settings: Settings) -> None:
        self.settings = settings
        self.reach = Reach(hand, settings.harp)
        self._shape, self._order, self._start, self._early, self._strike, self._repeat, self._inside, self._shift, \
            self._change = (_asker(occasion, settings) for occasion in Occasion)  # fmt: skip
        self.phrases: dict[object, Any] = {}
        self._plucks: dict[object, Pluck] = {}
        self._grips: dict[tuple[int, ...], tuple[Grip, ...]] = {}
        self._strained: dict[tuple[tuple[int, ...], Fingers], Grip] = {}
        self._openings: dict[object, Openings] = {}
        self._entries: dict[tuple[End, ...], Entries] = {}
        self._orders: dict[tuple[tuple[int, ...], ...], int] = {}
        self._heard: dict[object, Heard] = {}
        self._passings: dict[tuple[Pluck, Pluck, int], Passing] = {}
        self._alike: dict[tuple[Any, ...], Passing] = {}
        self._changes: dict[tuple[Form, Form, int], int] = {}
        self._earlies: dict[tuple[int, int, int], int] = {}
        self._going_on: dict[tuple[Pluck, Pluck, int], dict[Grip, int]] = {}
        self._blocks: dict[tuple[tuple[int, ...], tuple[int, ...]], list[tuple[End, Grip]]] = {}

    def trim(self) -> None:
        """Forget what was looked up where it has grown large; nothing but time is lost."""
        tables: list[dict[Any, Any]] = [
            self.phrases, self._plucks, self._grips, self._strained, self._openings, self._entries,
            self._heard, self._orders, self._passings, self._alike, self._changes, self._earlies, self._going_on,
            self._blocks,
        ]  # fmt: skip
        if max(map(len, tables)) > _FULL:
            for table in tables:
                table.clear()

    def pluck(self, onset: Onset, glide: int, masks: tuple[int, ...] = ()) -> Pluck:
        """The interned onset. ``masks`` leave each note only the fingers in its set of bits."""
        key = (
            onset.strings, onset.locks, onset.stress, onset.grace, onset.accent, onset.slur_start,
            onset.thumb_only, onset.rolled, onset.glissando, onset.trill, onset.kept, glide, masks,
        )  # fmt: skip
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
        key = (
            onset.strings, onset.grace, onset.accent, onset.slur_start, onset.thumb_only, onset.rolled,
            onset.glissando, onset.trill, onset.kept, glide,
        )  # fmt: skip
        found = self._heard.get(key)
        if found is None:
            found = self._heard[key] = Heard(onset, glide)
        return found

    def _even(self, pluck: Pluck) -> tuple[int, int] | None:
        known = pluck.heard.even
        if pluck.allowed not in known:
            inside, first = (
                {self.strike(pluck, fingers, shape, first) for fingers in pluck.allowed for shape in range(1, 5)}
                for first in (False, True)
            )
            known[pluck.allowed] = (inside.pop(), first.pop()) if len(inside) == len(first) == 1 else None
        return known[pluck.allowed]

    def grips(self, strings: tuple[int, ...]) -> tuple[Grip, ...]:
        """Every shape within reach on these strings."""
        found = self._grips.get(strings)
        if found is None:
            found = self._grips[strings] = tuple(
                self._grip(strings, fingers)
                for fingers in FINGERINGS[len(strings)]
                if self.reach.allows(strings, fingers)
            )
        return found

    def _grip(self, strings: tuple[int, ...], fingers: Fingers) -> Grip:
        return Grip(strings, fingers, self._shape(Shape(strings, fingers, self.reach)))

    def _block(self, strings: tuple[int, ...], first: tuple[int, ...]) -> list[tuple[End, Grip]]:
        """The shapes on these strings, each with the end at which a placing begins that strikes ``first`` first."""
        key = (strings, first)
        found = self._blocks.get(key)
        if found is None:
            found = self._blocks[key] = [(grip.end(first), grip) for grip in self.grips(strings)]
        return found

    def _strained_grips(self, pluck: Pluck) -> list[Grip]:
        """Locked fingers beyond a pair's greatest spread: a shape of its own, for this onset only."""
        grips = []
        for fingers in sorted(pluck.allowed):
            key = (pluck.strings, fingers)
            if key not in self._strained:
                self._strained[key] = self._grip(*key)
            grips.append(self._strained[key])
        return grips

    def strike(self, pluck: Pluck, fingers: Fingers, shape: int, first: bool) -> int:
        """What one onset costs inside a placing of ``shape`` strings."""
        key = (fingers, shape, first)
        costs = pluck.heard.costs
        cost = costs.get(key)
        if cost is None:
            view = Strike(pluck.heard.onset, fingers, shape, first, pluck.glide, self.reach)
            cost = costs[key] = self._strike(view)
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
            if len(old) == len(new) == 1:
                way = (new > old) - (new < old)
                pairs = [(f, g) for f in FINGERINGS[1] for g in FINGERINGS[1] if (f > g) - (f < g) == way]
                costs = {self.step(found, *pair, False) for pair in pairs}
                found.even = costs.pop() if len(costs) == 1 else -1
        return found

    def step(self, passing: Passing, before: Fingers, after: Fingers, shift: bool) -> int:
        """What it costs to go from one onset to the next, inside a placing or (``shift``) into a new one."""
        key = (before, after, shift)
        cost = passing.steps.get(key)
        if cost is None:
            move = Move(passing.old, before, passing.new, after, passing.haste, passing.grace, passing.glide)
            cost = self._repeat(move) + (self._shift(move) if shift else self._inside(move))
            passing.steps[key] = cost
        return cost

    def order(self, heights: tuple[tuple[int, ...], ...]) -> int:
        """What the order of a placing's strings costs; they are counted from the lowest of its first onset."""
        cost = self._orders.get(heights)
        if cost is None:
            cost = self._orders[heights] = self._order(Order(heights))
        return cost

    def change(self, before: Form, after: Form, haste: int) -> int:
        """What it costs to go from one shape to the next."""
        key = (before, after, haste)
        cost = self._changes.get(key)
        if cost is None:
            cost = self._changes[key] = self._change(Change(before, after, haste))
        return cost

    def row(self, entries: Entries, passing: Passing, end: End) -> Row:
        """What it costs to pass to each of the entries from the end of a placing."""
        key = (passing, end)
        found = entries.rows.get(key)
        if found is None:
            (held, form), haste = end, passing.haste
            changes = entries.changes.get((form, haste))
            if changes is None:
                changes = entries.changes[form, haste] = [self.change(form, new, haste) for new in entries.forms]
            steps = [self.step(passing, held, first, True) for first in entries.firsts]
            row = tuple([steps[first] + changes[new] for first, new in entries.which])
            found = entries.rows[key] = Row(row, min(row))
        return found

    def early(self, string: int, ago: int, haste: int) -> int:
        """What it costs to set a string early that has just sounded."""
        key = (string, ago, haste)
        cost = self._earlies.get(key)
        if cost is None:
            cost = self._earlies[key] = self._early(Early(*key))
        return cost

    def going_on(self, before: Pluck, after: Pluck, haste: int) -> dict[Grip, int]:
        """What it costs to go on from one onset to the next in the same placing, as far as it is known."""
        return self._going_on.setdefault((before, after, haste), {})

    def goes_on(self, grip: Grip, before: Pluck, after: Pluck, haste: int) -> int:
        """The same for one placing, worked out; −1 where it can't go on."""
        of = grip.of
        fingers = tuple([of.get(string, 0) for string in after.strings])
        if fingers not in after.allowed:
            return -1
        held = tuple([of[string] for string in before.strings])
        passing = self.passing(before, after, haste)
        return self.strike(after, fingers, len(of), False) + self.step(passing, held, fingers, False)

    def openings(self, plucks: tuple[Pluck, ...], hastes: tuple[int, ...]) -> Openings:
        """The ways to start a placing at the first of ``plucks``, whose strings are all in one hand's four."""
        key = (plucks, hastes)
        found = self._openings.get(key)
        if found is None:
            found = self._openings[key] = self._open(plucks, hastes)
        return found

    def _open(self, plucks: tuple[Pluck, ...], hastes: tuple[int, ...]) -> Openings:
        entries: dict[End, int] = {}
        ways: list[tuple[int, int, Grip, int]] = []
        first = plucks[0].strings
        start = self._start(Start(plucks[0].onset))
        base = first[0]
        heights = [tuple([string - base for string in pluck.strings]) for pluck in plucks]
        passings = [self.passing(plucks[i], plucks[i + 1], haste) for i, haste in enumerate(hastes)]
        strings: set[int] = set()
        even = 0
        for last, pluck in enumerate(plucks):
            if even >= 0:
                even = self._evenly(even, pluck, passings[last - 1] if last else None)
            if strings.issuperset(pluck.strings):
                continue
            strings.update(pluck.strings)
            played = plucks[: last + 1]
            order = start + self.order(tuple(heights[: last + 1]))
            if pluck.strained and not last:
                grips = [(grip.end(first), grip) for grip in self._strained_grips(pluck)]
            else:
                grips = self._block(tuple(sorted(strings)), first)
            if not grips:
                break
            for end, grip in grips:
                cost = even if even >= 0 else self._played(grip, played, passings)
                if cost >= 0:
                    entry = entries.setdefault(end, len(entries))
                    ways.append((last + 1, entry, grip, grip.cost + order + cost))
        each = tuple(entries)
        if each not in self._entries:
            self._entries[each] = Entries(each)
        return Openings(self._entries[each], ways)

    def _evenly(self, so_far: int, pluck: Pluck, passing: Passing | None) -> int:
        """What a placing has cost beside its shape, one more onset included; −1 where that hangs on the fingers."""
        if pluck.even is None:
            return -1
        if passing is None:
            return pluck.even[True]
        return -1 if passing.even < 0 else so_far + pluck.even[False] + passing.even

    def _played(self, grip: Grip, plucks: tuple[Pluck, ...], passings: list[Passing]) -> int:
        """What playing these onsets from one shape costs beside the shape; −1 where a digit is not allowed."""
        of, cost = grip.of, 0
        held: Fingers = ()
        for place, pluck in enumerate(plucks):
            fingers = tuple([of[string] for string in pluck.strings])
            if fingers not in pluck.allowed:
                return -1
            cost += self.strike(pluck, fingers, len(of), place == 0)
            if place:
                cost += self.step(passings[place - 1], held, fingers, False)
            held = fingers
        return cost


@lru_cache(maxsize=8)
def tables_for(hand: HandProfile, settings: Settings) -> Tables:
    """The tables of a hand and its settings, kept for the next passage."""
    return Tables(hand, settings)
