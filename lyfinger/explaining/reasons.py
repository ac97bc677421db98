"""What is to be said about a stretch of music: its placings, what counts against them, and what else there is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from operator import ne

from ..checking.draft import interval
from ..fingering.alternatives import Choice
from ..fingering.ledger import Item
from .phrases import Phrase
from .places import Stretch

OTHERS = 3
"""How many other fingerings are listed."""

MOST_WORK = 100_000
"""Notes of a stretch times onsets of its phrase, up to which other fingerings are looked for: some seconds."""


@dataclass(frozen=True, slots=True)
class Placing:
    """One placing of a stretch, from 1 on, with what counts against it and against the way into it.

    ``onsets`` are indices in the solved passage; ``whole`` is False where the stretch shows only a part of it.
    """

    number: int
    onsets: range
    items: tuple[Item, ...]
    whole: bool


@dataclass(frozen=True, slots=True)
class Other:
    """Another fingering: what the phrase costs more with it (thousandths; below nothing only where the answer is not
    proven), rule by rule, and how many notes of the phrase outside the stretch it fingers otherwise."""

    choice: Choice
    more: int
    difference: tuple[tuple[str, int], ...]
    elsewhere: int


@dataclass(frozen=True, slots=True)
class Explained:
    """A stretch with its reasons. ``others`` is None where there is too much music to look for them; ``limits`` say in
    words where the hand is near its limit."""

    phrase: Phrase
    onsets: range
    best: Choice
    bound: int
    placings: tuple[Placing, ...]
    others: tuple[Other, ...] | None
    limits: tuple[str, ...]


def explained(stretch: Stretch, most_work: int = MOST_WORK) -> Explained:
    """The reasons for the digits of a stretch; other fingerings where looking for them is no more than so much work."""
    phrase, onsets = stretch.phrase, stretch.onsets
    best, bound = phrase.answers.best(phrase.group), phrase.answers.bound(phrase.group)
    placings = tuple(_placings(phrase, onsets, best))
    others = _others(phrase, onsets, best, most_work)
    return Explained(phrase, onsets, best, bound, placings, others, tuple(_limits(phrase, placings, best)))


def _others(phrase: Phrase, onsets: range, best: Choice, most_work: int) -> tuple[Other, ...] | None:
    keys = list(dict.fromkeys(_keys(phrase, onsets)))
    if len(keys) * sum(len(chain.onsets) for chain in phrase.group.chains) > most_work:
        return None
    choices = phrase.answers.next_best(phrase.group, keys, OTHERS)
    return tuple(_other(phrase, onsets, best, choice) for choice in choices)


def _placings(phrase: Phrase, onsets: range, best: Choice) -> Iterator[Placing]:
    chain = phrase.chain.onsets
    for number, shown in enumerate(phrase.placings(best.placings, onsets), 1):
        items = (item for item in best.ledger.items if item.cost and item.onsets[-1] in shown)
        by_weight = sorted(items, key=lambda item: -item.cost)
        cut = any(
            index in chain and best.placings[index] == best.placings[shown[0]]
            for index in (shown.start - 1, shown.stop)
        )
        yield Placing(number, shown, tuple(by_weight), not cut)


def _keys(phrase: Phrase, onsets: range) -> Iterator[int]:
    """The source notes of a stretch that can show a digit."""
    for index in onsets:
        for key, indices in zip(phrase.answers.passage.onsets[index].keys, phrase.strings(index), strict=True):
            if any(phrase.part.score.notes[note].source.unmarkable is None for note in indices):
                yield key


def _other(phrase: Phrase, onsets: range, best: Choice, choice: Choice) -> Other:
    old, new = best.ledger.by_rule(), choice.ledger.by_rule()
    away = ((rule, new.get(rule, 0) - old.get(rule, 0)) for rule in dict.fromkeys((*old, *new)))
    difference = sorted((pair for pair in away if pair[1]), key=lambda pair: (-abs(pair[1]), pair[0]))
    passage = phrase.answers.passage
    differ = (index for index, away in enumerate(map(ne, best.fingers, choice.fingers)) if away)
    outside = {
        key
        for index in differ
        for key, one, other in zip(passage.onsets[index].keys, best.fingers[index], choice.fingers[index], strict=True)
        if one != other
    } - {key for index in onsets for key in passage.onsets[index].keys}
    return Other(choice, choice.cost - best.cost, tuple(difference), len(outside))


def shape(phrase: Phrase, choice: Choice, onsets: range) -> dict[int, int]:
    """String → finger of a placing, from the lowest string up."""
    passage = phrase.answers.passage
    pairs = (pair for i in onsets for pair in zip(passage.onsets[i].strings, choice.fingers[i], strict=True))
    return {string: finger for string, finger in sorted(pairs) if finger is not None}


def _limits(phrase: Phrase, placings: tuple[Placing, ...], best: Choice) -> Iterator[str]:
    """Pairs of fingers that stand nearer to their greatest spread than to an easy one."""
    reach = phrase.answers.reach
    for placing in placings:
        taken = shape(phrase, best, placing.onsets)
        for (low, finger), (high, other) in combinations(taken.items(), 2):
            spread, span = reach.spread(finger, other), reach.span(low, high)
            if span > (spread.easy + spread.greatest) // 2:
                what = f"{interval(high - low + 1)} with {finger} and {other}"
                yield f"placing {placing.number}: {what}, {_mm(span)} mm, limit {_mm(spread.greatest)} mm"


def _mm(micrometres: int) -> int:
    return (micrometres + 500) // 1000
