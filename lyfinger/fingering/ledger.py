"""What an answer costs, rule by rule: worked out straight from the rules, apart from the search.

The search and the ledger must agree to the thousandth; a test holds them together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..harp.hand import HandProfile
from ..harp.reach import Reach
from . import views
from .model import Passage, Problem
from .plan import Chain, Jump, Plan, survey
from .problems import REUSED
from .registry import RULES, Occasion
from .settings import Settings
from .views import (
    Change,
    Early,
    Form,
    Move,
    Order,
    Shape,
    Start,
    Strike,
    form_at_jump,
    form_of,
    heard,
)

Digits = Sequence[tuple[int | None, ...]]


@dataclass(frozen=True, slots=True)
class Item:
    """What one rule counts on one occasion. ``onsets`` are the indices that it concerns; ``units`` are the rule's
    own, ``cost`` is in thousandths."""

    rule: str
    onsets: tuple[int, ...]
    units: int
    cost: int


@dataclass(frozen=True, slots=True)
class Ledger:
    """Every item of an answer, in printed order of what it concerns."""

    items: tuple[Item, ...]

    @property
    def total(self) -> int:
        """The cost of the answer, in thousandths."""
        return sum(item.cost for item in self.items)

    def by_rule(self) -> dict[str, int]:
        """Cost of each rule that cost something, in thousandths."""
        return {rule: cost for rule, cost in self._sums("cost").items() if cost}

    def units(self) -> dict[str, int]:
        """What each rule counted, unweighted."""
        return self._sums("units")

    def _sums(self, name: str) -> dict[str, int]:
        sums: dict[str, int] = {}
        for item in self.items:
            sums[item.rule] = sums.get(item.rule, 0) + getattr(item, name)
        return sums


_ASKED_ON = {occasion: tuple(rule for rule in RULES if rule.occasion is occasion) for occasion in Occasion}


class Auditor:
    """Asks every rule about the parts of an answer: placings, moves and whole chains (indices of onsets)."""

    def __init__(self, passage: Passage, plan: Plan, fingers: Digits, reach: Reach, settings: Settings) -> None:
        self.passage = passage
        self.plan = plan
        self.fingers = fingers
        self.reach = reach
        self.settings = settings

    def _asked(self, occasion: Occasion, view: object, onsets: tuple[int, ...]) -> Iterator[Item]:
        for rule in _ASKED_ON[occasion]:
            if units := rule.assess(view):
                yield Item(rule.name, onsets, units, units * self.settings.weight(rule.name))

    def change(self, change: Change, before: int, after: int) -> Iterator[Item]:
        """Going from one shape to another, between the onsets ``before`` and ``after``."""
        yield from self._asked(Occasion.CHANGE, change, (before, after))

    def shape(self, onsets: range) -> dict[int, int]:
        """String → finger of a placing, ascending; raises ValueError where one string has two fingers."""
        shape: dict[int, int] = {}
        for index in onsets:
            for string, finger in zip(self.passage.onsets[index].strings, self.digits(index), strict=True):
                if shape.setdefault(string, finger) != finger:
                    raise ValueError(f"onset {index}: two fingers on one string of a placing")
        return dict(sorted(shape.items()))

    def form(self, onsets: range) -> Form:
        """What the neighbours of a placing see of its shape."""
        shape = self.shape(onsets)
        return form_of(tuple(shape), tuple(shape.values()))

    def jump(self, jump: Jump) -> Iterator[Item]:
        """A jump with everything that it costs; of the placings at its ends these onsets alone are seen."""
        before, after = (
            form_at_jump(self.passage.onsets[index].strings, self.digits(index)) for index in (jump.before, jump.after)
        )
        yield from self.move(jump.before, jump.after, jump.haste, True)
        yield from self.change(Change(before, after, jump.haste), jump.before, jump.after)

    def digits(self, index: int) -> tuple[int, ...]:
        """The fingers of an onset."""
        return tuple(finger for finger in self.fingers[index] if finger is not None)

    def placing(self, onsets: range) -> Iterator[Item]:
        """A placing for itself: its shape, its order and each of its onsets."""
        all_onsets = self.passage.onsets
        shape = self.shape(onsets)
        whole = tuple(onsets)
        yield from self._asked(Occasion.SHAPE, Shape(tuple(shape), tuple(shape.values()), self.reach), whole)
        yield from self._asked(Occasion.ORDER, self.order(onsets), whole)
        yield from self._asked(Occasion.START, Start(all_onsets[onsets[0]]), whole[:1])
        for index in onsets:
            glide = self.plan.glides[index]
            first = index == onsets[0]
            strike = Strike(heard(all_onsets[index]), self.digits(index), len(shape), first, glide, self.reach)
            yield from self._asked(Occasion.STRIKE, strike, (index,))

    def early(self, chain: Chain, onsets: range) -> Iterator[Item]:
        """The strings that a placing of a chain sets before they are to be played, where they have just sounded."""
        struck = self.passage.onsets
        start = onsets[0]
        for string in self.shape(onsets):
            played = next(index for index in onsets if string in struck[index].strings)
            back = range(start - 1, max(chain.first, start - views.RECENT) - 1, -1)
            sounded = next((index for index in back if string in struck[index].strings), None)
            if played == start or sounded is None:
                continue
            haste = min(chain.hastes[sounded - chain.first : start - chain.first])
            yield from self._asked(Occasion.EARLY, Early(string, start - sounded, haste), (sounded, played))

    def order(self, onsets: range) -> Order:
        """The order of a placing's strings."""
        base = self.passage.onsets[onsets[0]].strings[0]
        return Order(tuple(tuple(string - base for string in self.passage.onsets[i].strings) for i in onsets))

    def move(self, before: int, after: int, haste: int, shift: bool) -> Iterator[Item]:
        """Going from one onset to the next, inside a placing or (``shift``) into a new one."""
        old, new = self.passage.onsets[before], self.passage.onsets[after]
        base = old.strings[0]
        move = Move(
            tuple(string - base for string in old.strings),
            self.digits(before),
            tuple(string - base for string in new.strings),
            self.digits(after),
            haste,
            old.grace,
            self.plan.glides[before] != 0,
        )
        yield from self._asked(Occasion.REPEAT, move, (before, after))
        yield from self._asked(Occasion.SHIFT if shift else Occasion.INSIDE, move, (before, after))

    def chain(self, chain: Chain, placings: Sequence[int]) -> Iterator[Item]:
        """A chain with everything in it."""
        before: range | None = None
        for onsets in placings_of(chain, placings):
            yield from self.placing_after(chain, before, onsets)
            before = onsets

    def placing_after(self, chain: Chain, before: range | None, onsets: range) -> Iterator[Item]:
        """A placing of a chain with the way into it from the one before, and nothing that hangs on other fingers."""
        if before is not None:
            haste = chain.hastes[before[-1] - chain.first]
            yield from self.move(before[-1], onsets[0], haste, True)
            yield from self.change(Change(self.form(before), self.form(onsets), haste), before[-1], onsets[0])
        yield from self.placing(onsets)
        yield from self.early(chain, onsets)
        for index in onsets[1:]:
            yield from self.move(index - 1, index, chain.hastes[index - 1 - chain.first], False)


def placings_of(chain: Chain, placings: Sequence[int]) -> list[range]:
    """The onsets of each placing of a chain."""
    groups: list[range] = []
    for index in chain.onsets:
        if groups and placings[index] == placings[index - 1]:
            groups[-1] = range(groups[-1].start, index + 1)
        else:
            groups.append(range(index, index + 1))
    return groups


def _refused(fingers: Digits) -> dict[int, Problem]:
    """Onsets without a digit: whatever the reason was, the hand is free around them."""
    return {index: Problem(index, REUSED, "") for index, digits in enumerate(fingers) if None in digits}


def cost_of(
    passage: Passage, fingers: Digits, placings: Sequence[int], hand: HandProfile, settings: Settings | None = None
) -> Ledger:
    """What the given fingers and placings cost. ``placings[i]`` is the number of the placing of onset i.

    Onsets with problems cost nothing and part the hand as they do in the search. Raises ValueError if a placing gives
    one string two fingers.
    """
    settings = settings or Settings()
    reach = Reach(hand, settings.harp)
    plan = survey(passage, reach, settings, _refused(fingers))
    auditor = Auditor(passage, plan, fingers, reach, settings)
    items: list[Item] = []
    for group in plan.groups:
        for chain in group.chains:
            items.extend(auditor.chain(chain, placings))
        for jump in group.jumps:
            items.extend(auditor.jump(jump))
    return Ledger(tuple(sorted(items, key=lambda item: item.onsets)))
