"""Short passages in a few letters, and answers to read: helpers of the tests in this folder.

A passage is written in onsets: ``C4`` a note, ``C4-E4-G4`` a chord, ``C4=2`` a note with its digit locked.
"""

from __future__ import annotations

from lyfinger.fingering.ledger import Ledger, cost_of
from lyfinger.fingering.model import Onset, Passage, Placed, Step
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.harp.hand import MEDIUM, HandProfile

LETTERS = "CDEFGAB"


def string(name: str) -> int:
    """The string number of a note name: C4 is 28."""
    return int(name[1:]) * 7 + LETTERS.index(name[0])


def onset(strings: tuple[int, ...], key: int = 0, locks: tuple[int | None, ...] = ()) -> Onset:
    numbers = tuple(range(key, key + len(strings)))
    return Onset(strings, numbers, locks or (None,) * len(strings), numbers)


def onsets(text: str) -> tuple[Onset, ...]:
    found: list[Onset] = []
    key = 0
    for word in text.split():
        notes = sorted((string(note.split("=")[0]), note) for note in word.split("-"))
        locks = tuple(int(note.split("=")[1]) if "=" in note else None for _, note in notes)
        found.append(onset(tuple(number for number, _ in notes), key, locks))
        key += len(notes)
    return tuple(found)


def explain_costs(passage: Passage, placed: Placed, hand: HandProfile, settings: Settings | None = None) -> Ledger:
    """The cost of an answer of the search, rule by rule; its total is ``placed.cost``."""
    return cost_of(passage, placed.fingers, placed.placings, hand, settings)


def connected(notes: tuple[Onset, ...], gap: int = 250) -> Passage:
    return Passage(notes, tuple(Step(i, i + 1, gap) for i in range(len(notes) - 1)))


def passage(text: str, gap: int = 250) -> Passage:
    return connected(onsets(text), gap)


def numbered(notes: tuple[Onset, ...]) -> tuple[Onset, ...]:
    """The same onsets with keys and orders counted anew from 0."""
    key, fresh = 0, []
    for note in notes:
        numbers = tuple(range(key, key + len(note.strings)))
        fresh.append(note._replace(keys=numbers, orders=numbers))
        key += len(numbers)
    return tuple(fresh)


def read(placed: Placed) -> str:
    """The answer as the trade writes it: ``4 3 2 1 | 3 2 1``, chords as ``3-2-1``, ``?`` for no digit."""
    words: list[str] = []
    for index, fingers in enumerate(placed.fingers):
        if index and placed.placings[index] != placed.placings[index - 1]:
            words.append("|")
        words.append("-".join("?" if finger is None else str(finger) for finger in fingers))
    return " ".join(words)


def digits(text: str, gap: int = 250, hand: HandProfile = MEDIUM, settings: Settings | None = None) -> str:
    """The fingers of a passage, onset by onset, without its placings."""
    return read(place(passage(text, gap), hand, settings)).replace(" |", "")


def placed(text: str, gap: int = 250, hand: HandProfile = MEDIUM, settings: Settings | None = None) -> str:
    """The fingers of a passage with its placings."""
    return read(place(passage(text, gap), hand, settings))
