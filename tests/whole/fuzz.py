"""One trial of a damaged source, and many by hand: ``python -m tests.whole.fuzz COUNT [FIRST]``."""

from __future__ import annotations

import random
import sys
import time
import traceback
from dataclasses import dataclass

from .command import READING, SAMPLES, lyfinger
from .damage import damaged
from .insertions import assert_only_digits_added

#: The smaller ones more often, so that there is time for many.
SOURCES = (
    *READING,
    *(
        SAMPLES / name
        for name in (
            "Parts/drunken-sailor.ly",
            "Teaching/stepping-stones.ly",
            "Parts/lantern-walk.ly",
            "Notes/ferry-harp.ily",
        )
    ),
)
HOPELESS = 20.0
"""Seconds; whatever takes longer is taken for endless."""


@dataclass(frozen=True)
class Trial:
    """What became of a damaged source; ``fault`` is empty where all was as it should be."""

    source: bytes
    name: str
    status: int
    seconds: float
    fault: str = ""


def trial(seed: int) -> Trial:
    """Damage a source by chance and mark it twice."""
    chance = random.Random(seed)
    path = chance.choice(SOURCES)
    data = damaged(path.read_bytes(), chance)
    started = time.monotonic()
    try:
        status, fault = _mark(data, str(path))
    except Exception:  # the command line catches everything: whatever comes through is a fault
        status, fault = -1, traceback.format_exc()
    seconds = time.monotonic() - started
    if not fault and seconds > HOPELESS:
        fault = f"it took {seconds:.1f} s"
    return Trial(data, path.name, status, seconds, fault)


def _mark(data: bytes, name: str) -> tuple[int, str]:
    first = lyfinger("mark", "-", "--stdin-filename", name, stdin=data)
    if "internal error" in first.err or "Traceback" in first.err:
        return first.status, first.err
    if first.status == 2:
        return 2, "" if not first.out and first.err.count(
            "\n"
        ) == 1 else f"refused, and yet: {first.err}{first.out[:80]!r}"
    if first.status != 0:
        return first.status, f"exit status {first.status}"
    try:
        assert_only_digits_added(data, first.out)
    except AssertionError as error:
        return 0, str(error)
    second = lyfinger("mark", "-", "--stdin-filename", name, stdin=first.out)
    return 0, "" if second.out == first.out else f"a second run changes it: {second.err[:200]}"


def main(arguments: list[str]) -> int:
    """Run trials and tell the faults and the slowest one."""
    count, first = int(arguments[0]), int(arguments[1]) if len(arguments) > 1 else 1000
    trials = {seed: trial(seed) for seed in range(first, first + count)}
    for seed, item in trials.items():
        if item.fault:
            print(f"seed {seed} ({item.name}): {item.fault}")
    slowest = max(trials, key=lambda seed: trials[seed].seconds)
    marked = sum(item.status == 0 for item in trials.values())
    print(f"{count} trials, {marked} marked, {sum(bool(item.fault) for item in trials.values())} faults")
    print(f"slowest: seed {slowest} ({trials[slowest].name}), {trials[slowest].seconds:.2f} s")
    return int(any(item.fault for item in trials.values()))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
