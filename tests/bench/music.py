"""A harp part of any length: invented music in the figures that harp parts are made of, the same for the same seed.

Two staves of a PianoStaff in E flat major, 4/4: close and wide chords, flat and rolled, scales, broken chords in one
hand and from hand to hand, octaves, a tune over a moving bass, two voices in a hand. Every chord has four notes at
most and lies within an octave.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from random import Random

SEED = "bench"
_LETTERS = ("c", "d", "ef", "f", "g", "af", "bf")
_PROGRESSION = (2, 5, 3, 6, 2, 0, 3, 6)  # the degrees E flat, A flat, F … as letters counted from C
_MIDDLE_C = 28

Bar = tuple[list[str], list[str]]
"""The right and the left hand's events of one bar."""


def name(string: int) -> str:
    """A string as LilyPond's absolute pitch (C4 is 28).

    >>> name(28), name(23), name(44)
    ("c'", 'ef', "ef'''")
    """
    marks = string // 7 - 3
    return _LETTERS[string % 7] + ("'" * marks if marks > 0 else "," * -marks)


def chord(strings: Sequence[int], length: str = "") -> str:
    """Several strings as a chord, from the lowest up."""
    return f"<{' '.join(map(name, strings))}>{length}"


def _run(strings: Sequence[int], length: int) -> list[str]:
    """Single notes under a slur."""
    first, *rest = map(name, strings)
    return [f"{first}{length}(", *rest[:-1], f"{rest[-1]})"]


def _triad(root: int, inversion: int) -> list[int]:
    """A close triad on a root (a string), in an inversion (0–2)."""
    strings = [root, root + 2, root + 4]
    return sorted([*strings[inversion:], *(string + 7 for string in strings[:inversion])])


def _four(root: int, inversion: int) -> list[int]:
    """The same, with its lowest note doubled at the octave."""
    triad = _triad(root, inversion)
    return [*triad, triad[0] + 7]


def _bass(root: int) -> list[int]:
    return [root, root + 4, root + 7]


def _chords(rng: Random, high: int, low: int) -> Bar:
    right = [chord(_triad(high, rng.randrange(3)), "4") for _ in range(4)]
    return right, [chord([low, low + 7], "2"), chord(_bass(low), "2")]


def _rolled(rng: Random, high: int, low: int) -> Bar:
    right = [chord(_four(high, rng.randrange(3)), "2") + "\\arpeggio" for _ in range(2)]
    return right, [chord(_bass(low), "2") + "\\arpeggio", chord([low, low + 2, low + 4], "2") + "\\arpeggio"]


def _scale(rng: Random, high: int, low: int) -> Bar:
    up = [*range(high, high + 8), *range(high + 6, high - 2, -1)]
    strings = up if rng.random() < 0.5 else [2 * high + 7 - string for string in up]
    return _run(strings, 16), [chord(_bass(low), "2"), chord([low, low + 7], "4"), name(low + 4) + "4"]


def _low_scale(rng: Random, high: int, low: int) -> Bar:
    strings = [*range(low, low + 8), *range(low + 6, low - 2, -1)]
    return [chord(_triad(high, rng.randrange(3)), "4"), *["q"] * 3], _run(strings, 16)


def _broken(rng: Random, high: int, low: int) -> Bar:
    right: list[str] = []
    for _ in range(2):
        one = _four(high, rng.randrange(3))
        right += _run([*one, one[2], one[1], one[2], one[1]], 16)
    return right, [chord([low, low + 7], "2"), chord(_bass(low), "2")]


def _relay(rng: Random, high: int, low: int) -> Bar:
    right: list[str] = []
    left: list[str] = []
    for _ in range(2):
        one = _four(high, rng.randrange(3))
        left += [*_run([low, low + 4, low + 7, low + 9], 16), "r4"]
        right += ["r4", *_run(one, 16)]
    return right, left


def _tune(rng: Random, high: int, low: int) -> Bar:
    top = _triad(high, rng.randrange(3))
    right = [chord(top, "4."), name(top[-1] + rng.choice((-1, 1))) + "8", chord(top[::2], "4"), name(top[1]) + "4"]
    return right, _run([low, low + 4, low + 7, low + 4] * 2, 8)


def _octaves(rng: Random, high: int, low: int) -> Bar:
    right = [chord([high + step, high + step + 7], "4") for step in (0, 1, 2, rng.choice((0, 1)))]
    return right, _run([low, low + 4, low + 7, low + 9, low + 7, low + 4, low + 2, low + 4], 8)


def _two_voices(rng: Random, high: int, low: int) -> Bar:
    top = [high + 7 + rng.choice((0, 1)) for _ in range(2)]
    under = " ".join(f"r8 {name(high)} {name(high + 2)} {name(high + 4)}" for _ in range(2))
    tune = " ".join(f"{name(string)}2" for string in top)
    return [f"<< {{ {tune} }} \\\\ {{ {under} }} >>"], [chord(_bass(low), "2"), chord([low, low + 7], "2")]


FIGURES: tuple[Callable[[Random, int, int], Bar], ...] = (
    _chords,
    _rolled,
    _scale,
    _low_scale,
    _broken,
    _relay,
    _tune,
    _octaves,
    _two_voices,
)


def _notes(events: Sequence[str]) -> int:
    """How many notes some events print; ``q`` counts as three here, since it only follows triads."""
    words = " ".join(events).replace("<<", " ").replace(">>", " ").replace("<", " ").replace(">", " ").split()
    return sum(3 if word == "q" else word[0] in "abcdefg" for word in words)


def part(notes: int, seed: str = SEED) -> str:
    """The source of a part with ``notes`` printed notes or a few more (a whole bar is added at a time)."""
    rng = Random(seed)
    right: list[str] = []
    left: list[str] = []
    count = bar = 0
    while count < notes:
        root = _PROGRESSION[bar // 2 % len(_PROGRESSION)]
        one, other = rng.choice(FIGURES)(rng, _MIDDLE_C + root, _MIDDLE_C - 14 + root)
        right.append(" ".join(one))
        left.append(" ".join(other))
        count += _notes(one) + _notes(other)
        bar += 1
    return _SOURCE % (" |\n  ".join(right), " |\n  ".join(left))


_SOURCE = r"""\version "2.24.0"
\language "english"

upper = {
  \clef treble \key ef \major \time 4/4 \tempo 4 = 84
  %s \bar "|."
}

lower = {
  \clef bass \key ef \major \time 4/4
  %s
}

\score {
  \new PianoStaff << \new Staff = "upper" \upper \new Staff = "lower" \lower >>
  \layout { }
}
"""
