"""What sounds on through each moment of a course, and how long ago each letter ended.

All times are counted on the grid of the course.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from ..score.model import Note
from ..score.tempo import CountedPace
from .moments import Glissando, Moment
from .settings import RING_MS

_LONG = 8
"""Whole notes for which a string may ring at the end of its voice: longer than ``RING_MS`` at any tempo of music."""


class Sounding(NamedTuple):
    """A note, until when it sounds, and whether it only rings so long."""

    end: int | Fraction
    rings: bool
    note: Note


def sound_on(
    moments: Sequence[Moment],
    starts: Mapping[tuple[int, int], Sequence[Sounding]],
    glissandos: Iterable[Glissando],
    letters: frozenset[int],
    time: CountedPace,
) -> None:
    """Put down what sounds through each moment, and how long ago each letter ended, of some letters (steps).

    ``starts`` has what begins, by its time on the grid.
    """
    sounding: dict[int, list[Sounding]] = {}
    ends: dict[int, int | Fraction] = {}
    silent: dict[int, int | Fraction] = {}  # the same as time
    gliding = {glissando.first: glissando for glissando in glissandos}
    grace_at = time.grid.at
    for number, moment in enumerate(moments):
        here = moment.at
        _sounds_through(moment, sounding)
        now = time.elapsed(here)
        moment.ended = {step: int((now - then) // time.parts) if then < now else 0 for step, then in silent.items()}
        for one in starts.get((here, grace_at(moment.time[1])), ()):
            step = one.note.pitch.step
            if step not in letters:
                continue
            if not one.note.plucked and one.end > here:  # tied: it has sounded before
                moment.under.setdefault(step, one.note)
                moment.let_ring -= {step}
            sounding.setdefault(step, []).append(one)
            if step not in ends or ends[step] < one.end:
                ends[step], silent[step] = one.end, time.elapsed(one.end)
        if number in gliding:
            goal = moments[gliding[number].last].at
            for step in letters:
                sounding.setdefault(step, []).append(Sounding(goal, False, gliding[number].note))
                if step not in ends or ends[step] < goal:
                    ends[step], silent[step] = goal, time.elapsed(goal)


def _sounds_through(moment: Moment, sounding: dict[int, list[Sounding]]) -> None:
    """Put down what sounds through a moment, and forget what has ended."""
    here = moment.at
    for step, before in sounding.items():
        if before:
            going = sounding[step] = [one for one in before if one.end > here]
            if going:
                moment.under[step] = going[0].note
    moment.let_ring = frozenset([step for step, going in sounding.items() if going and all(one.rings for one in going)])


def ring_ends(notes: Sequence[Note], times: Sequence[tuple[int, int]], time: CountedPace) -> dict[int, int | Fraction]:
    """Until when the notes that are let ring sound, by their number; ``times`` are those of the notes."""
    found: dict[int, int | Fraction] = {}
    if not any("laissezVibrer" in note.marks for note in notes):
        return found
    following: dict[int, int] = {}
    latest: dict[int, int] = {}
    for number in range(len(notes) - 1, -1, -1):
        note, start = notes[number], times[number][0]
        over = start + time.grid.at(note.duration)
        if start != latest.get(note.voice):
            following[note.voice] = latest.get(note.voice, over + _LONG * time.grid.unit)
            latest[note.voice] = start
        end = following[note.voice]
        if "laissezVibrer" in note.marks and end > over:
            found[number] = max(_rung_out(start, end, time), over)
    return found


def _rung_out(start: int, end: int, time: CountedPace) -> int | Fraction:
    """Where between two times a string has rung for ``RING_MS``; the later one if it rings on."""
    whole, limit = time.elapsed(end) - time.elapsed(start), RING_MS * time.parts
    return end if whole <= limit else start + Fraction((end - start) * limit) / whole
