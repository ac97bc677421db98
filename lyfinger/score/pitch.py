"""Pitches by letter, as a harp has them: one string a letter and octave, whatever its alteration."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

LETTERS = "CDEFGAB"


class Pitch(NamedTuple):
    """``octave`` is scientific (middle C is C4), ``step`` 0–6 is C–B, ``alter`` in semitones (F♯: 1)."""

    octave: int
    step: int
    alter: Fraction

    @property
    def string(self) -> int:
        """The harp string as a number that grows by one a string; C4 is 28."""
        return self.octave * 7 + self.step

    @property
    def name(self) -> str:
        """Readable name, e.g. ``F♯4`` or ``B♭2``; alterations that no harp has are written in semitones."""
        sign = _SIGNS.get(self.alter)
        return f"{LETTERS[self.step]}{f'({self.alter})' if sign is None else sign}{self.octave}"


_SIGNS = {Fraction(0): "", Fraction(1): "♯", Fraction(-1): "♭", Fraction(2): "𝄪", Fraction(-2): "𝄫"}
NATURAL_SEMITONES = (0, 2, 4, 5, 7, 9, 11)


def semitones(octave: int, step: int, alter: Fraction) -> Fraction:
    """The sounding height in semitones above C0, from what a :class:`Pitch` is made of."""
    return 12 * octave + NATURAL_SEMITONES[step] + alter


def at_most_a_semitone(pitch: Pitch) -> bool:
    """Whether a pitch is altered by a semitone at most. Asked of every note, and so without arithmetic of fractions."""
    above, below = pitch.alter.as_integer_ratio()
    return -below <= above <= below


def string_name(string: int) -> str:
    """The letter and octave of a string number, e.g. 28 → ``C4``."""
    return f"{LETTERS[string % 7]}{string // 7}"


def string_number(name: str) -> int:
    """The number of a string by its letter and octave.

    >>> string_number("C4"), string_name(string_number("G7"))
    (28, 'G7')
    """
    return int(name[1:]) * 7 + LETTERS.index(name[0])


def respellings(pitch: Pitch) -> list[Pitch]:
    """The ways to write the same sound with at most one sharp or flat, natural first, then from the lowest string up.

    >>> [one.name for one in respellings(Pitch(4, 3, Fraction(2)))]  # F double sharp
    ['G4']
    """
    sound = semitones(pitch.octave, pitch.step, pitch.alter)
    near = [divmod(pitch.string + offset, 7) for offset in range(-3, 4)]
    found = [Pitch(octave, step, sound - semitones(octave, step, Fraction(0))) for octave, step in near]
    return sorted((one for one in found if abs(one.alter) <= 1), key=lambda one: (abs(one.alter), one.string))


def twin(pitch: Pitch) -> Pitch | None:
    """The same sound on a neighbouring string, at most a semitone altered; None for D, G and A natural.

    Source: Sibelius Academy, *Harp Notation* (published).

    >>> twin(Pitch(4, 0, Fraction(0))), twin(Pitch(4, 1, Fraction(0)))
    (Pitch(octave=3, step=6, alter=Fraction(1, 1)), None)
    """
    return next((one for one in respellings(pitch) if abs(one.string - pitch.string) == 1), None)
