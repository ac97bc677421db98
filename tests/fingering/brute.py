"""Every cut and every assignment of a short passage, priced by the ledger: what the search is measured against.

Nothing here comes from the search: the candidates are listed, the rules are asked by the ledger, the least is taken.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from lyfinger.fingering.ledger import Auditor
from lyfinger.fingering.model import Passage
from lyfinger.fingering.plan import Chain, Plan, survey
from lyfinger.fingering.problems import options
from lyfinger.fingering.settings import Settings
from lyfinger.fingering.views import Change, form_of
from lyfinger.harp.hand import HandProfile
from lyfinger.harp.reach import Reach

Fingers = tuple[int, ...]
Chosen = tuple[tuple[Fingers, ...], int]
"""Fingers of each onset of a chain, and their least cost."""
Candidate = tuple[int, tuple[Fingers, ...], tuple[int, ...]]
"""Cost, fingers of each onset, positions where placings start."""


class Brute:
    """All candidates of a passage."""

    def __init__(self, passage: Passage, hand: HandProfile, settings: Settings) -> None:
        self.passage = passage
        self.settings = settings
        self.reach = Reach(hand, settings.harp)
        self.plan: Plan = survey(passage, self.reach, settings)
        self.count = 0

    def auditor(self, fingers: dict[int, Fingers]) -> Auditor:
        every = [fingers.get(i, (None,) * len(o.strings)) for i, o in enumerate(self.passage.onsets)]
        return Auditor(self.passage, self.plan, every, self.reach, self.settings)

    def shapes(self, onsets: range) -> list[dict[int, int]]:
        """Every string → finger for one placing that reaches, keeps the order and the locks."""
        notes = [self.passage.onsets[i] for i in onsets]
        strings = sorted({s for note in notes for s in note.strings})
        early = {s for note in notes[: self.settings.sight] for s in note.strings}
        if len(strings) > 4 or len(early) < len(strings):
            return []
        found = []
        for chosen in combinations((4, 3, 2, 1), len(strings)):
            shape = dict(zip(strings, chosen, strict=True))
            allowed = all(tuple(shape[s] for s in n.strings) in options(n, self.reach) for n in notes)
            strained = len(strings) == len(notes[0].strings) and allowed
            if allowed and (strained or self.reach.allows(tuple(strings), chosen)):
                found.append(shape)
        return found

    def placings(self, chain: Chain) -> dict[tuple[int, int], list[tuple[dict[int, int], int]]]:
        """(start, end) → the shapes of that placing with their cost, everything inside it included."""
        found = {}
        length = len(chain.onsets)
        for start in range(length):
            for end in range(start, length):
                if any(start < cut <= end for cut in chain.cuts):
                    continue
                onsets = range(chain.first + start, chain.first + end + 1)
                priced = []
                for shape in self.shapes(onsets):
                    fingers = {i: tuple(shape[s] for s in self.passage.onsets[i].strings) for i in onsets}
                    auditor = self.auditor(fingers)
                    items = [*auditor.placing(onsets), *auditor.early(chain, onsets)]
                    for i in onsets[1:]:
                        items += auditor.move(i - 1, i, chain.hastes[i - 1 - chain.first], False)
                    priced.append((shape, sum(item.cost for item in items)))
                found[start, end] = priced
        return found

    def candidates(self, chain: Chain) -> Iterator[Candidate]:
        placings = self.placings(chain)
        moves: dict[tuple[object, ...], int] = {}
        length = len(chain.onsets)

        def fingers(shape: dict[int, int], place: int) -> Fingers:
            return tuple(shape[s] for s in self.passage.onsets[chain.first + place].strings)

        def between(old: dict[int, int], new: dict[int, int], place: int) -> int:
            key = (tuple(old.items()), tuple(new.items()), place)
            if key not in moves:
                before = chain.first + place - 1
                auditor = self.auditor({before: fingers(old, place - 1), before + 1: fingers(new, place)})
                items = list(auditor.move(before, before + 1, chain.hastes[place - 1], True))
                left, right = (form_of(tuple(shape), tuple(shape.values())) for shape in (old, new))
                items += auditor.change(Change(left, right, chain.hastes[place - 1]), before, before + 1)
                moves[key] = sum(item.cost for item in items)
            return moves[key]

        def walk(start: int, last: dict[int, int] | None) -> Iterator[Candidate]:
            if start == length:
                yield 0, (), ()
                return
            for end in range(start, length):
                for shape, cost in placings.get((start, end), []):
                    step = between(last, shape, start) if last is not None else 0
                    here = tuple(fingers(shape, place) for place in range(start, end + 1))
                    for rest, digits, starts in walk(end + 1, shape):
                        yield cost + step + rest, here + digits, (start, *starts)

        return walk(0, None)

    def reading(self, chain: Chain, digits: tuple[Fingers, ...]) -> tuple[int, ...]:
        """The digits in reading order."""
        notes = [
            (order, place, finger)
            for place, fingers in enumerate(digits)
            for order, finger in zip(self.passage.onsets[chain.first + place].orders, fingers, strict=True)
        ]
        return tuple(finger for *_, finger in sorted(notes))

    def best(self, chain: Chain) -> Candidate:
        """The least by cost, then digits in reading order, then by where placings start (later first)."""
        length = len(chain.onsets)

        def rank(candidate: Candidate) -> tuple[int, tuple[int, ...], list[bool]]:
            self.count += 1
            cost, digits, starts = candidate
            return cost, self.reading(chain, digits), [place in starts for place in range(length)]

        return min(self.candidates(chain), key=rank)

    def best_together(self) -> tuple[int, dict[int, int]]:
        """The least for all chains at once, with jumps and shared notes: cost and key → digit."""
        chains = [chain for group in self.plan.groups for chain in group.chains]
        jumps = [jump for group in self.plan.groups for jump in group.jumps]
        order = {k: o for note in self.passage.onsets for k, o in zip(note.keys, note.orders, strict=True)}
        cheapest: list[dict[tuple[Fingers, ...], int]] = []
        for chain in chains:
            costs: dict[tuple[Fingers, ...], int] = {}
            for cost, digits, _ in self.candidates(chain):
                costs[digits] = min(cost, costs.get(digits, cost))
            cheapest.append(costs)
        best: tuple[int, list[int], dict[int, int]] | None = None
        for choice in self.agreeing(chains, cheapest):
            self.count += 1
            fingers = {
                index: choice[number][0][index - chain.first]
                for number, chain in enumerate(chains)
                for index in chain.onsets
            }
            digit = {
                key: finger
                for index, own in fingers.items()
                for key, finger in zip(self.passage.onsets[index].keys, own, strict=True)
            }
            cost = sum(cost for _, cost in choice)
            for jump in jumps:
                auditor = self.auditor(fingers)
                cost += sum(item.cost for item in auditor.jump(jump))
            ranked = (cost, [digit[key] for key in sorted(digit, key=order.__getitem__)], digit)
            if best is None or ranked[:2] < best[:2]:
                best = ranked
        assert best is not None
        return best[0], best[2]

    def agreeing(self, chains: list[Chain], cheapest: list[dict[tuple[Fingers, ...], int]]) -> Iterator[list[Chosen]]:
        """Every choice of one candidate for each chain in which each key has one digit."""
        keys = [[key for index in chain.onsets for key in self.passage.onsets[index].keys] for chain in chains]
        shared = [
            [key for key in own if any(key in other for other in keys[:number])] for number, own in enumerate(keys)
        ]
        by_shared: list[dict[tuple[int, ...], list[tuple[Chosen, dict[int, int]]]]] = []
        for number, costs in enumerate(cheapest):
            found: dict[tuple[int, ...], list[tuple[Chosen, dict[int, int]]]] = {}
            for digits, cost in costs.items():
                pairs = list(zip(keys[number], (finger for fingers in digits for finger in fingers), strict=True))
                own = dict(pairs)
                if all(own[key] == finger for key, finger in pairs):
                    found.setdefault(tuple(own[key] for key in shared[number]), []).append(((digits, cost), own))
            by_shared.append(found)

        def choose(number: int, digit: dict[int, int]) -> Iterator[list[Chosen]]:
            if number == len(chains):
                yield []
                return
            for chosen, own in by_shared[number].get(tuple(digit[key] for key in shared[number]), []):
                for rest in choose(number + 1, {**digit, **own}):
                    yield [chosen, *rest]

        return choose(0, {})
