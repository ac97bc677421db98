"""The levers of a lever harp: which are up before the start, and which change needs a free hand.

Each lever raises its own string by a semitone; the usual tuning is E♭ major, and levers are moved mostly by the left
hand: D. Perrett, *Tips on composing for harp* (published). What a hand needs for one lever is from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from ..hands.model import Hand, Hands
from ..score.keys import signature
from ..score.model import Note, Score
from ..score.pitch import LETTERS, Pitch
from ..score.tempo import Pace
from .settings import LEVER_MS

USUAL_TUNING = "Eb"


def tuning(key: str | None = None) -> tuple[int, ...]:
    """The alteration of each letter (C first) with all levers down, for a major key.

    >>> tuning()
    (0, 0, -1, 0, 0, -1, -1)
    """
    name = key or USUAL_TUNING
    alter = {"b": -1, "♭": -1, "#": 1, "♯": 1}.get(name[1:], 0)
    found = signature(Pitch(4, LETTERS.index(name[0]), Fraction(alter)), "major")
    assert found is not None
    return found


def gives(open_strings: Sequence[int], pitch: Pitch) -> bool:
    """Whether a string gives a pitch, its lever down or up."""
    return pitch.alter - open_strings[pitch.step] in (0, 1)


class LeverChange(NamedTuple):
    """A lever that moves between two notes on its string; ``up`` is where it goes.

    ``hand`` is free for it from ``moment`` on; both None where neither hand is free in time.
    """

    before: Note
    after: Note
    up: bool
    hand: Hand | None
    moment: Fraction | None


class LeverPlan(NamedTuple):
    """``start`` are the pitches of the strings whose levers are up before the start; ``impossible`` are notes that no
    lever gives."""

    start: tuple[Pitch, ...]
    changes: tuple[LeverChange, ...]
    impossible: tuple[Note, ...]


def plan_levers(score: Score, hands: Hands, player: int, pace: Pace, open_strings: Sequence[int]) -> LeverPlan:
    """The levers of one player, in printed order."""
    own = [
        (note, hand)
        for note, hand, whose in zip(score.notes, hands.hands, hands.players, strict=True)
        if whose == player and hand is not None
    ]
    plucked = [note for note, _ in own if note.plucked]
    impossible = tuple(note for note in plucked if not gives(open_strings, note.pitch))
    by_string: dict[int, list[Note]] = {}
    for note in plucked:
        if gives(open_strings, note.pitch):
            by_string.setdefault(note.pitch.string, []).append(note)
    start = tuple(
        notes[0].pitch
        for _, notes in sorted(by_string.items())
        if notes[0].pitch.alter > open_strings[notes[0].pitch.step]
    )
    wanted = [pair for notes in by_string.values() for pair in _turns(notes)]
    return LeverPlan(start, tuple(_assigned(wanted, own, pace)), impossible)


def _turns(notes: Sequence[Note]) -> Iterator[tuple[Note, Note]]:
    """Two notes running on one string that are altered differently."""
    for before, after in pairwise(notes):
        if before.pitch.alter != after.pitch.alter:
            yield before, after


class _Job:
    """A lever to move between two notes, from ``release`` to ``deadline`` (ms); ``hand`` and ``at`` once given."""

    __slots__ = ("after", "at", "before", "deadline", "hand", "release")

    def __init__(self, before: Note, after: Note, release: Fraction, deadline: Fraction) -> None:
        self.before = before
        self.after = after
        self.release = release
        self.deadline = deadline
        self.hand: Hand | None = None
        self.at: Fraction | None = None


def _assigned(
    wanted: Iterable[tuple[Note, Note]], own: Sequence[tuple[Note, Hand]], pace: Pace
) -> Iterator[LeverChange]:
    """The left hand takes what it can, the right hand what is left, in each free time the most urgent lever first."""
    zero = Fraction(0)
    jobs = [
        _Job(
            before,
            after,
            pace.milliseconds(zero, min(before.moment + before.duration, after.moment)),
            pace.milliseconds(zero, after.moment),
        )
        for before, after in wanted
    ]
    for hand in (Hand.LEFT, Hand.RIGHT):
        times = sorted({pace.milliseconds(zero, note.moment) for note, whose in own if whose is hand and note.plucked})
        _fill([job for job in jobs if job.hand is None], times, hand)
    moments = sorted({note.moment for note, _ in own})
    for job in sorted(jobs, key=lambda one: (one.deadline, one.after.order)):
        moment = None if job.at is None else _moment_at(moments, job, pace)
        yield LeverChange(job.before, job.after, job.after.pitch.alter > job.before.pitch.alter, job.hand, moment)


def _fill(jobs: list[_Job], times: Sequence[Fraction], hand: Hand) -> None:
    """Give a hand the jobs that fit between its notes."""
    edges = [Fraction(-1), *times, Fraction(10**12)]
    waiting = sorted(jobs, key=lambda job: (job.deadline, job.after.order))
    for start, end in pairwise(edges):
        now = start
        while waiting:
            ready = [job for job in waiting if max(job.release, now) + LEVER_MS <= min(job.deadline, end)]
            if not ready:
                break
            first = min(max(job.release, now) for job in ready)
            job = next(job for job in ready if max(job.release, now) < first + LEVER_MS)
            job.hand, job.at = hand, max(job.release, now)
            now = job.at + LEVER_MS
            waiting.remove(job)


def _moment_at(moments: Sequence[Fraction], job: _Job, pace: Pace) -> Fraction:
    """The last moment of music at or before the time of a job, no sooner than the string has ended."""
    assert job.at is not None
    earlier = [one for one in moments if pace.milliseconds(Fraction(0), one) <= job.at and one < job.after.moment]
    return earlier[-1] if earlier else job.before.moment
