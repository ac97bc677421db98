"""The problem that the solver is given: one foot, its pedals, and what each moment asks of them, in plain numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from .settings import BUZZ_MS, PEDAL_MS

#: What counts against a plan, the worst first: fewer of an earlier one is worth any number of later ones.
MEASURES = (
    "unprintable",  # moves where no mark can stand
    "under",  # moves under a string that sounds
    "crowded",  # moves too many for one foot at one moment
    "new",  # moves that no mark in the source shows
    "moves",
    "buzz",  # moves right behind the end of a note on the same letter
    "hurried",  # moves sooner after another of the same foot than it can go
    "late",  # moves at the very moment in which the letter is plucked
    "steps",  # semitones of all moves
    "busy",  # notes plucked around the moves
    "offbeat",  # moves off the beat
    "waiting",  # milliseconds from the moves to where they are needed
)
_BITS = 44
_SHIFTS = {name: _BITS * (len(MEASURES) - 1 - place) for place, name in enumerate(MEASURES)}


def weigh(**counts: int) -> int:
    """One number for some counts: it orders plans as their counts do, the worst measure first."""
    return sum(count << _SHIFTS[name] for name, count in counts.items())


(_UNPRINTABLE, _UNDER, _CROWDED, _NEW, _MOVES, _BUZZ, HURRIED, _LATE, _STEPS, _BUSY, _OFFBEAT, _WAITING) = (
    weigh(**{name: 1}) for name in MEASURES
)


class Stop(NamedTuple):
    """One moment, for the pedals of one foot (indices into them).

    ``choices`` are the alterations that each pedal may have from here on; ``plucked`` the pedals whose letter is
    plucked, ``under`` those whose letter sounds on, ``marked`` those that a mark in the source sets here. ``ended``
    is how long ago (ms) each letter's last note ended, ``need`` how long (ms) until it is plucked next; None where
    never. ``busy`` counts the notes plucked around. ``printable`` is False where no mark can stand. ``resting`` where
    nothing is plucked at all, ``shown`` where a diagram stands.
    """

    choices: tuple[tuple[int, ...], ...]
    plucked: frozenset[int] = frozenset()
    under: frozenset[int] = frozenset()
    marked: frozenset[int] = frozenset()
    ended: tuple[int | None, ...] = ()
    need: tuple[int | None, ...] = ()
    busy: int = 0
    offbeat: bool = False
    printable: bool = True
    resting: bool = False
    shown: bool = False


class Problem(NamedTuple):
    """One foot's problem. ``pairs`` are the pedals (indices) that the foot may move as one.

    ``hops`` are ``(before, after, ms)``: which stop is played after which, and the time between them. A hop to the
    next stop is an ordinary one; the others are the turns of repeats. At the first stop the pedals are as they were
    set before playing.
    """

    stops: tuple[Stop, ...]
    hops: tuple[tuple[int, int, int], ...]
    pairs: frozenset[frozenset[int]] = frozenset()
    gap_out: tuple[int, ...] = ()


def part_of(problem: Problem, pedals: Sequence[int]) -> Problem:
    """The problem of some of the pedals, as if the others did not exist."""
    place = {pedal: number for number, pedal in enumerate(pedals)}

    def some(found: frozenset[int]) -> frozenset[int]:
        return frozenset(place[pedal] for pedal in found if pedal in place)

    stops = tuple(
        stop._replace(
            choices=tuple(stop.choices[pedal] for pedal in pedals),
            plucked=some(stop.plucked),
            under=some(stop.under),
            marked=some(stop.marked),
            ended=tuple(stop.ended[pedal] for pedal in pedals),
            need=tuple(stop.need[pedal] for pedal in pedals),
        )
        for stop in problem.stops
    )
    pairs = frozenset(some(pair) for pair in problem.pairs if pair <= set(pedals))
    return problem._replace(stops=stops, pairs=pairs)


State = tuple[int, ...]


def moved(before: State, after: State) -> list[int]:
    """The pedals that are not where they were."""
    return [] if before == after else [pedal for pedal in range(len(after)) if before[pedal] != after[pedal]]


def crowd(problem: Problem, at: int, moves: list[int], since: int) -> int:
    """How many moves too many stand at a stop; ``since`` is the time (ms) since the stop before it.

    One foot moves one pedal at one moment, or two neighbours if the player does. In a rest it moves one after the
    other, as the time allows, and before a diagram as the time before it allows.
    """
    spare = len(moves) - 1
    if spare <= 0 or (spare == 1 and frozenset(moves) in problem.pairs):
        return 0
    stop = problem.stops[at]
    time = max(problem.gap_out[at] if stop.resting else 0, since if stop.shown else 0)
    return max(0, spare - time // PEDAL_MS)


def move_cost(problem: Problem, at: int, before: State, after: State, since: int) -> int:
    """What the moves of one hop to a stop count, all but the hurry."""
    moves = moved(before, after)
    if not moves:
        return 0
    stop = problem.stops[at]
    count = len(moves)
    new = sum([pedal not in stop.marked for pedal in moves])
    too_many = crowd(problem, at, moves, since) if count > 1 else 0
    return (
        _UNPRINTABLE * (0 if stop.printable else new)
        + _UNDER * sum([pedal in stop.under for pedal in moves])
        + _CROWDED * too_many
        + _NEW * new
        + _MOVES * count
        + _BUZZ * sum([_buzzes(problem, at, pedal) for pedal in moves])
        + _LATE * sum([pedal in stop.plucked for pedal in moves])
        + _STEPS * sum([abs(after[pedal] - before[pedal]) for pedal in moves])
        + _BUSY * stop.busy * count
        + _OFFBEAT * stop.offbeat * count
        + _WAITING * sum([stop.need[pedal] or 0 for pedal in moves])
    )


def _buzzes(problem: Problem, at: int, pedal: int) -> bool:
    """Whether a string has only just ended. Where its letter is not plucked at once, the foot waits until it fades."""
    ended = problem.stops[at].ended[pedal]
    if ended is None:
        return False
    return ended + (0 if pedal in problem.stops[at].plucked else problem.gap_out[at]) < BUZZ_MS
