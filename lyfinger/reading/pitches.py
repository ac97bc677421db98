r"""Written pitches into sounding ones: absolute, ``\fixed``, ``\relative``, ``\transpose``.

Octaves are scientific here (the written ``c`` without marks is C3). The rules were each checked against the
typesetter; ``../tests/fixtures/reading`` has them one by one.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from ..score.pitch import Pitch, semitones

WRITTEN_OCTAVE = 4
"""Added to a written octave (marks plus the octave of the name itself, -1) to make it scientific."""

FIRST_REFERENCE = (3, 3)
r"""Without a start pitch the first note of ``\relative`` is absolute, which is to say relative to F3."""


class Reference:
    """The octave rule in force. ``relative`` holds the (octave, step) that the next note is near to, or None in
    absolute music, where ``offset`` octaves are added. ``lost`` is True where an unknown passage went before."""

    __slots__ = ("lost", "offset", "relative")

    def __init__(self, relative: tuple[int, int] | None = None, offset: int = 0) -> None:
        self.relative = relative
        self.offset = offset
        self.lost = False


def resolve(reference: Reference, octave: int, step: int, check: int | None) -> tuple[int, bool]:
    """The scientific octave of a written pitch, and whether it is certain; moves the reference on.

    ``octave`` as written (marks plus the name's own), ``check`` the marks of an octave check.
    """
    if reference.relative is None:
        return octave + WRITTEN_OCTAVE + reference.offset, not reference.lost
    if check is not None:
        found = check + WRITTEN_OCTAVE - 1
        reference.lost = False
    else:
        near, near_step = reference.relative
        found = near + octave + 1
        distance = step - near_step
        if distance > 3:
            found -= 1
        elif distance < -3:
            found += 1
    reference.relative = (found, step)
    return found, not reference.lost


def check_octave(reference: Reference, octave: int, step: int) -> None:
    r"""``\octaveCheck``: shifts the reference by whole octaves so that the checked pitch would be the nearest."""
    if reference.relative is None:
        return
    near, near_step = reference.relative
    probe = Reference((near, near_step))
    nearest, _ = resolve(probe, -1, step, None)
    reference.relative = (near + octave - nearest, near_step)
    # The letter of the last note is known only if nothing was lost since; a check can't give it back.


class Transposition(NamedTuple):
    """An interval: ``strings`` letters up, ``distance`` semitones."""

    strings: int
    distance: Fraction

    @classmethod
    def between(cls, low: tuple[int, int, Fraction], high: tuple[int, int, Fraction]) -> Transposition:
        """From (octave, step, alter) to (octave, step, alter)."""
        return cls(high[0] * 7 + high[1] - low[0] * 7 - low[1], semitones(*high) - semitones(*low))

    def then(self, outer: Transposition | None) -> Transposition:
        """This interval inside an outer one."""
        if outer is None:
            return self
        return Transposition(self.strings + outer.strings, self.distance + outer.distance)

    def apply(self, octave: int, step: int, alter: Fraction) -> tuple[int, int, Fraction]:
        """The transposed (octave, step, alter); the letter moves by ``strings``, whatever the alteration."""
        new_octave, new_step = divmod(octave * 7 + step + self.strings, 7)
        goal = semitones(octave, step, alter) + self.distance
        return new_octave, new_step, goal - semitones(new_octave, new_step, Fraction(0))


def pitch_of(octave: int, step: int, alter: Fraction, transposition: Transposition | None) -> Pitch:
    """The sounding pitch of a scientific octave, step and alteration (semitones)."""
    if transposition is not None:
        octave, step, alter = transposition.apply(octave, step, alter)
    return Pitch(octave, step, alter)
