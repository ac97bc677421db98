"""The pedal problem by trying everything: an own account of what counts, and no shortcut."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from lyfinger.pedals.problem import MEASURES, Problem

States = tuple[tuple[int, ...], ...]


def every_plan(problem: Problem) -> Iterator[States]:
    """Every way in which the pedals can stand at the stops."""
    yield from product(*(tuple(product(*stop.choices)) for stop in problem.stops))


def account(problem: Problem, plan: States) -> tuple[int, ...]:
    """What counts against a plan, in the order of ``MEASURES``."""
    total = dict.fromkeys(MEASURES, 0)
    for before, after, since in problem.hops:
        stop = problem.stops[after]
        moves = [pedal for pedal, (old, new) in enumerate(zip(plan[before], plan[after], strict=True)) if old != new]
        if len(moves) > 1 and not (len(moves) == 2 and frozenset(moves) in problem.pairs):
            time = problem.gap_out[after] if stop.resting else 0
            time = max(time, since if stop.shown else 0)
            possible = 1 + time // 500  # about two moves a second: [P] E. Volpé Bligh
            total["crowded"] += max(0, len(moves) - possible)
        for pedal in moves:
            total["unprintable"] += not stop.printable and pedal not in stop.marked
            total["under"] += pedal in stop.under
            total["new"] += pedal not in stop.marked
            total["moves"] += 1
            total["steps"] += abs(plan[before][pedal] - plan[after][pedal])
            ended = stop.ended[pedal]
            wait = 0 if pedal in stop.plucked else problem.gap_out[after]
            total["buzz"] += ended is not None and ended + wait < 300
            total["late"] += pedal in stop.plucked
            total["busy"] += stop.busy
            total["offbeat"] += stop.offbeat
            total["waiting"] += stop.need[pedal] or 0
    total["hurried"] = _hurried(problem, plan)
    return tuple(total[name] for name in MEASURES)


def _hurried(problem: Problem, plan: States) -> int:
    gaps = {after: since for before, after, since in problem.hops if after == before + 1}
    count = 0
    for after in range(1, len(plan)):
        if after not in gaps or plan[after - 1] == plan[after]:
            continue
        time = 0
        for earlier in range(after, 0, -1):
            if earlier not in gaps:
                break
            if earlier < after and plan[earlier - 1] != plan[earlier]:
                moves = sum(old != new for old, new in zip(plan[after - 1], plan[after], strict=True))
                count += moves * (time < 500)
                break
            time += gaps[earlier]
    return count
