"""What strains the hand in the samples, before and after: ``python -m tests.tools.fingering_report``.

*Before* is what a marking without a plan gives: every chord, and every single note with its neighbour, fingered alone
by the tables of the trade (2nd to 4th 2–1, 5th and 6th 3–1, wider 4–1; three strings within a seventh 3 2 1,
wider 4 2 1 or 4 3 1). *After* are lyfinger's digits. Digits that the source locks stand in both. Nothing of the rules
or the weights is used to count: only the digits, the strings, the times and the millimetres of the hand.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations

from lyfinger.cli.options import build_parser
from lyfinger.cli.session import open_sessions
from lyfinger.fingering.model import Onset, Passage
from lyfinger.fingering.plan import Plan, survey
from lyfinger.fingering.problems import locked, options
from lyfinger.harp.reach import Reach
from lyfinger.marking.player import player_of
from tests.whole.command import ENSEMBLE, SAMPLES, TEACHING

Fingers = tuple[int, ...]
QUICK, RECENT, LOW = 250, 600, 28
"""Quick notes are under this many milliseconds apart; a string still sounds for this long; low is under C4."""
KINDS = (
    "hops in quick notes", "hops at leisure", "wide crossings in quick notes", "placings beyond an easy spread",
    "4th or more between 3 and 4, by choice", "struck again, quick, by one finger",
    "low strings set again while they sound",
)  # fmt: skip


def trained(strings: Sequence[int]) -> Fingers:
    """The fingers of the tables for strings taken alone, low to high."""
    if len(strings) == 1:
        return (1,)
    width = strings[-1] - strings[0]
    if len(strings) == 2:
        return (2, 1) if width <= 3 else (3, 1) if width <= 5 else (4, 1)
    if len(strings) == 3:
        upper = strings[2] - strings[1]
        return (3, 2, 1) if width <= 6 else (4, 3, 1) if upper >= 5 and width - upper <= 2 else (4, 2, 1)
    return (4, 3, 2, 1)


def nearest(wanted: Fingers, onset: Onset, reach: Reach) -> Fingers | None:
    """The allowed fingering with the fewest digits other than those wanted; None where no hand can play it."""
    allowed = options(onset, reach)
    if len(wanted) == len(onset.strings) and wanted in allowed and locked(onset.locks, wanted):
        return wanted
    return min(allowed, key=lambda each: sum(a != b for a, b in zip(each, wanted, strict=False)), default=None)


def naive(passage: Passage, plan: Plan, reach: Reach) -> list[Fingers | None]:
    """Single notes in pairs by their interval, in the order they come; chords alone."""
    found: list[Fingers | None] = []
    pending: int | None = None
    for index, onset in enumerate(passage.onsets):
        if index in plan.lifts:
            pending = None
        wanted = trained(onset.strings)
        if len(onset.strings) > 1:
            pending = None
        elif pending is not None:
            (other,), (string,) = passage.onsets[pending].strings, onset.strings
            low, high = trained(sorted({other, string})) if other != string else (1, 1)
            found[pending] = nearest((low if other < string else high,), passage.onsets[pending], reach)
            wanted, pending = (low if string < other else high,), None
        else:
            pending = index
        found.append(None if index in plan.problems else nearest(wanted, onset, reach))
    return found


def between(passage: Passage, plan: Plan, digits: Sequence[Fingers | None]) -> Iterator[str]:
    """What there is between two onsets running."""
    for step in passage.steps:
        if step.after != step.before + 1 or step.after in plan.lifts or plan.glides[step.before]:
            continue
        old, new = digits[step.before], digits[step.after]
        if old is None or new is None:
            continue
        one, two = passage.onsets[step.before].strings, passage.onsets[step.after].strings
        if len(one) == len(two) == 1:
            yield from singles(two[0] - one[0], old[0], new[0], step.gap < QUICK)


def singles(leap: int, old: int, new: int, quick: bool) -> Iterator[str]:
    """Between two single notes: a hop, a wide crossing, a string struck again."""
    if old == new:
        if leap == 0 and quick:
            yield KINDS[5]
        elif leap not in (0, -1 if old == 1 else 1):
            yield KINDS[0] if quick else KINDS[1]
    elif quick and abs(leap) > 2 and leap * (new - old) > 0:
        yield KINDS[2]


def shapes(
    passage: Passage, digits: Sequence[Fingers | None], placings: Sequence[int], reach: Reach
) -> Iterator[str]:  # fmt: skip
    """The strings of each placing with their fingers: pairs beyond what is easy, and a wide gap between 3 and 4 that
    four strings did not ask for."""
    held: dict[int, dict[int, int]] = {}
    for onset, fingers, placing in zip(passage.onsets, digits, placings, strict=True):
        if fingers is not None:
            held.setdefault(placing, {}).update(zip(fingers, onset.strings, strict=True))
    for shape in held.values():
        pairs = [(f, g, reach.span(*sorted((shape[f], shape[g])))) for f, g in combinations(sorted(shape), 2)]
        if any(span > reach.spread(f, g).easy for f, g, span in pairs):
            yield KINDS[3]
        if {3, 4} <= set(shape) and len(shape) < 4 and abs(shape[3] - shape[4]) >= 3:
            yield KINDS[4]


def buzzes(passage: Passage, plan: Plan, placings: Sequence[int]) -> Iterator[str]:
    """Low strings that a placing sets before they are due, while they still sound."""
    gaps = {step.after: step.gap for step in passage.steps if step.after == step.before + 1}
    starts = [index for index in range(len(placings)) if not index or placings[index] != placings[index - 1]]
    for start, stop in zip(starts, [*starts[1:], len(placings)], strict=True):
        recent: set[int] = set()
        back, passed = start, 0
        while back and back not in plan.lifts and passed + gaps.get(back, RECENT) < RECENT:
            passed += gaps[back]
            back -= 1
            recent.update(passage.onsets[back].strings)
        early = {string for index in range(start + 1, stop) for string in passage.onsets[index].strings}
        for string in early - set(passage.onsets[start].strings):
            if string in recent and string < LOW:
                yield KINDS[6]


def naive_placings(passage: Passage, plan: Plan) -> list[int]:
    """Single notes two by two, chords alone: the placings of a marking without a plan."""
    placings: list[int] = []
    open_pair = False
    for index, onset in enumerate(passage.onsets):
        joined = open_pair and len(onset.strings) == 1 and index not in plan.lifts
        placings.append((placings[-1] if placings else -1) + (not joined))
        open_pair = len(onset.strings) == 1 and not joined
    return placings


def counts(shelf: Sequence[str]) -> tuple[int, Counter[str], Counter[str]]:
    """Notes of some samples, and what is counted in them before and after."""
    chosen = build_parser().parse_args(["mark", *[str(SAMPLES / name) for name in shelf]])
    notes, before, after = 0, Counter[str](), Counter[str]()
    for session in open_sessions(chosen, chosen.files):
        player = player_of(session.config)
        for solved in session.plan.passages:
            passage, reach = solved.part.passage, player.reach
            plan = survey(passage, reach, player.settings)
            old = naive(passage, plan, reach)
            new = [tuple(f for f in own if f is not None) if None not in own else None for own in solved.answer.fingers]
            notes += sum(len(onset.strings) for onset in passage.onsets)
            for digits, placings, count in (
                (old, naive_placings(passage, plan), before),
                (new, solved.answer.placings, after),
            ):
                count.update(between(passage, plan, digits))
                count.update(shapes(passage, digits, placings, reach))
                count.update(buzzes(passage, plan, placings))
    return notes, before, after


def table(notes: int, before: Counter[str], after: Counter[str]) -> str:
    """Per 100 notes."""
    rows = [f"{notes} notes, counted per 100", f"{'':42}{'before':>8}{'after':>8}"]
    rows += [f"{kind:42}{before[kind] * 100 / notes:8.2f}{after[kind] * 100 / notes:8.2f}" for kind in KINDS]
    return "\n".join(rows)


def main() -> int:
    """Print the table for all samples together."""
    parts = [counts(shelf) for shelf in (ENSEMBLE, TEACHING)]
    notes = sum(part[0] for part in parts)
    before = sum((part[1] for part in parts), Counter[str]())
    after = sum((part[2] for part in parts), Counter[str]())
    print(table(notes, before, after))
    return 0


if __name__ == "__main__":
    sys.exit(main())
