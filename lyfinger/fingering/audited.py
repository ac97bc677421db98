"""What one answer after another of a passage costs, item by item: what they have in common is looked at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import islice
from operator import ne

from ..harp.reach import Reach
from .ledger import Auditor, Digits, Item, placings_of
from .model import Passage, Placed
from .plan import Chain, Plan
from .settings import Settings


class _Known:
    """The placings of a chain in the answer of the search, and their items; ``until[n]`` are those of the first n."""

    def __init__(self, placings: list[range], items: list[tuple[Item, ...]]) -> None:
        self.placings = placings
        self.items = [item for own in items for item in own]
        self.until = [0]
        for own in items:
            self.until.append(self.until[-1] + len(own))


class Audited:
    """Costs of answers that differ from ``placed`` in a few places, most of them."""

    def __init__(self, passage: Passage, plan: Plan, placed: Placed, reach: Reach, settings: Settings) -> None:
        self._passage = passage
        self._plan = plan
        self._placed = placed
        self._reach = reach
        self._settings = settings
        self._looked_at: dict[tuple[int, range, Digits], tuple[Item, ...]] = {}
        self._known: dict[int, _Known] = {}

    def auditor(self, fingers: Digits) -> Auditor:
        """Whoever asks the rules about these fingers."""
        return Auditor(self._passage, self._plan, fingers, self._reach, self._settings)

    def items(self, auditor: Auditor, chain: Chain, placings: list[range]) -> list[Item]:
        """What a chain costs with the auditor's fingers and these placings."""
        known = self._known.get(chain.first)
        if known is None:
            known = self._known[chain.first] = self._of_placed(chain)
        head, tail = _alike(chain, self._placed.fingers, auditor.fingers, known.placings, placings)
        items = known.items[: known.until[head]]
        for number in range(head, len(placings) - tail):
            items += self._item(auditor, chain, placings[number - 1] if number else None, placings[number])
        return items + known.items[known.until[len(known.placings) - tail] :]

    def _of_placed(self, chain: Chain) -> _Known:
        auditor = self.auditor(self._placed.fingers)
        placings = placings_of(chain, self._placed.placings)
        befores = [None, *placings]
        return _Known(placings, [self._item(auditor, chain, *pair) for pair in zip(befores, placings, strict=False)])

    def _item(self, auditor: Auditor, chain: Chain, before: range | None, onsets: range) -> tuple[Item, ...]:
        start = onsets.start if before is None else before.start
        key = (start, onsets, tuple(auditor.fingers[start : onsets.stop]))
        if key not in self._looked_at:
            self._looked_at[key] = tuple(auditor.placing_after(chain, before, onsets))
        return self._looked_at[key]


def _alike(
    chain: Chain, old: Digits, new: Digits, old_placings: Sequence[range], new_placings: Sequence[range]
) -> tuple[int, int]:
    """How many placings at the beginning and at the end of a chain are the same in two answers, with the way into
    them."""
    differ = list(map(ne, old[chain.first : chain.last + 1], new[chain.first : chain.last + 1]))
    first = chain.first + differ.index(True) if True in differ else chain.last + 1
    end = chain.last + 1 - differ[::-1].index(True) if True in differ else chain.first
    head = _count(zip(old_placings, new_placings, strict=False), lambda placing: placing.stop <= first)
    left = min(len(old_placings), len(new_placings)) - head
    backwards = islice(zip(reversed(old_placings), reversed(new_placings), strict=False), left)
    tail = _count(backwards, lambda placing: placing.start >= end)
    # The first of the tail is entered from another placing.
    return head, max(tail - 1, 0)


def _count(pairs: Iterable[tuple[range, range]], fits: Callable[[range], bool]) -> int:
    count = 0
    for one, other in pairs:
        if one != other or not fits(one):
            break
        count += 1
    return count
