"""The words for what a rule counted, and for notes and places, as a harpist says them."""

from __future__ import annotations

from ..checking.draft import interval
from ..fingering.alternatives import Choice
from ..fingering.ledger import Item
from ..fingering.registry import RULES, Occasion
from .phrases import Phrase

_OCCASION = {rule.name: rule.occasion for rule in RULES}
_BETWEEN = frozenset({Occasion.REPEAT, Occasion.INSIDE, Occasion.SHIFT, Occasion.CHANGE})
_BY_DISTANCE = frozenset({"cross-under", "cross-over", "hop", "slide", "slide-up", "lift"})
"""Rules whose name, said with the distance, is what the hand does: cross under by a third."""


def reason(phrase: Phrase, choice: Choice, item: Item) -> str:
    """What a rule counted, in words: ``cross under by a third in 180 ms: E4 with 4 after C4 with 1``."""
    name = item.rule.replace("-", " ")
    if _OCCASION[item.rule] not in _BETWEEN:
        return f"{name}: {_figure(phrase, choice, item.onsets)}"
    before, after = item.onsets
    time = f"in {phrase.gap(before, after)} ms"
    new, old = (f"{phrase.names(index)} with {digits(choice, index)}" for index in (after, before))
    return f"{name}{_distance(phrase, item)} {time}: {new} after {old}"


def reason_here(phrase: Phrase, choice: Choice, item: Item, placing: range) -> str:
    """The same, below a placing that is named already: ``cross under by a third in 180 ms, 4 after 1``."""
    name = item.rule.replace("-", " ")
    if _OCCASION[item.rule] in (Occasion.SHAPE, Occasion.ORDER):
        return name
    if _OCCASION[item.rule] not in _BETWEEN or item.onsets != (placing.start - 1, placing.start):
        return reason(phrase, choice, item)
    before, after = item.onsets
    time = f"in {phrase.gap(before, after)} ms"
    return f"{name}{_distance(phrase, item)} {time}, {digits(choice, after)} after {digits(choice, before)}"


def _distance(phrase: Phrase, item: Item) -> str:
    strings = [phrase.answers.passage.onsets[index].strings for index in item.onsets]
    if item.rule not in _BY_DISTANCE or any(len(one) > 1 for one in strings):
        return ""
    return f" by {interval(abs(strings[1][0] - strings[0][0]) + 1)}"


def _figure(phrase: Phrase, choice: Choice, onsets: tuple[int, ...]) -> str:
    """Each string of some onsets once, in the order played, with its finger."""
    names: list[str] = []
    fingers: list[str] = []
    for index in onsets:
        name = phrase.names(index)
        if name not in names:
            names.append(name)
            fingers.append(digits(choice, index))
    return f"{' '.join(names)} with {' '.join(fingers)}"


def digits(choice: Choice, onset: int) -> str:
    """The fingers of an onset, from the lowest string up: ``3``, or ``4-2-1``."""
    return "-".join("?" if finger is None else str(finger) for finger in choice.fingers[onset])


def line_of(phrase: Phrase, choice: Choice, onsets: range) -> str:
    """All fingers of a stretch, a bar where a new placing is set: ``4 3 2 1 | 3 2 1``."""
    groups = phrase.placings(choice.placings, onsets)
    return " | ".join(" ".join(digits(choice, index) for index in group) for group in groups)


def bars(first: int | None, last: int | None) -> str:
    """``bar 12``, ``bars 12 to 14``, or nothing where there are no bars."""
    if first is None or last is None:
        return ""
    return f"bar {first}" if first == last else f"bars {first} to {last}"


def points(cost: int) -> str:
    """A difference of costs with its sign: ``+120``, ``−120``."""
    return f"{'+' if cost >= 0 else '−'}{abs(cost)}"
