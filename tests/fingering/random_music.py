"""Random passages from a seed: all kinds of onsets, locks, signs, times and interleaved voices."""

from __future__ import annotations

from random import Random

from lyfinger.fingering.model import Onset, Passage, Step
from tests.fingering.music import onset

GAPS = (100, 130, 180, 250, 250, 330, 500, 900)


def random_strings(rng: Random, low: int = 18, high: int = 40) -> tuple[int, ...]:
    if rng.random() < 0.65:
        return (rng.randint(low, high),)
    base = rng.randint(low, high - 8)
    return tuple(sorted(rng.sample(range(base, base + 9), rng.choice((2, 2, 3, 3, 4)))))


def random_onsets(rng: Random, count: int, plain: bool = False) -> tuple[Onset, ...]:
    """Onsets within two octaves and a half; neighbours are often near each other."""
    notes: list[Onset] = []
    here = rng.randint(22, 34)
    key = 0
    for _ in range(count):
        here = min(38, max(18, here + rng.choice((-4, -3, -2, -1, -1, 0, 1, 1, 2, 3, 4))))
        strings = (here,) if rng.random() < 0.6 else random_strings(rng, here - 5, here + 5)
        note = onset(strings, key)
        key += len(strings)
        notes.append(note if plain else decorated(rng, note))
    return tuple(notes)


def decorated(rng: Random, note: Onset) -> Onset:
    """Now and then a lock, a beat, a sign."""
    locks: tuple[int | None, ...] = note.locks
    if rng.random() < 0.15:
        place = rng.randrange(len(note.strings))
        locks = tuple(rng.randint(1, 4) if i == place else None for i in range(len(note.strings)))
    return note._replace(
        locks=locks,
        stress=rng.choice((0, 0, 1, 2)),
        accent=rng.random() < 0.1,
        grace=rng.random() < 0.1,
        slur_start=rng.random() < 0.1,
        trill=rng.random() < 0.05,
        glissando=rng.random() < 0.05,
        rolled=rng.random() < 0.1,
    )


def sometimes_kept(rng: Random, notes: tuple[Onset, ...], share: float = 0.1) -> tuple[Onset, ...]:
    """The same notes, a share of the onsets with digits of an earlier marking."""
    return tuple(
        note._replace(kept=tuple(rng.choice((None, 1, 2, 3, 4)) for _ in note.strings))
        if rng.random() < share
        else note
        for note in notes
    )


def shuffled_reading(rng: Random, notes: tuple[Onset, ...]) -> tuple[Onset, ...]:
    """The same notes in another reading order, as two voices of one hand have it."""
    count = sum(len(note.strings) for note in notes)
    order = list(range(count))
    rng.shuffle(order)
    numbers = iter(order)
    return tuple(note._replace(orders=tuple(next(numbers) for _ in note.strings)) for note in notes)


def random_passage(rng: Random, count: int) -> Passage:
    notes = random_onsets(rng, count)
    if rng.random() < 0.4:
        notes = shuffled_reading(rng, notes)
    notes = sometimes_kept(Random(f"kept {[note.strings for note in notes]}"), notes)
    return Passage(notes, tuple(Step(i, i + 1, rng.choice(GAPS)) for i in range(count - 1)))
