"""The tables of the trade, each row once: what the search must make of it, and what must come out of a whole source.

Music is in onsets as in ``music``, where the right hand has it; the left has it an octave lower. Fingers are onset by
onset, a chord's from the lowest string up. Beside each row stand its status and source: [P] published, [T] common
practice of the trade without a source, [M] from memory.
"""

from __future__ import annotations

from typing import NamedTuple

LEARNING = "[T]; [P] Learning the Harp, 10 Rules of Harp Fingering"
SIMPLE = "[P] Simple Harp, Accords sur 3 doigts"
HALL = "[P] D. Hall, The Complete Chromatic Harp"
BALLARD = "[P] S. Ballard; blogarpa on a study of N.-C. Bochsa"
VRUK = "[P] Telenn Vruk, lesson 15"
LEGACY = "[T]; [P] The Harp Legacy Project, Typical Compositional Issues"
BLIGH = "[P] E. Volpé Bligh, Writing for the Pedal Harp"
TRADE = "[T] common practice, no source"
FIGURE = "[T]/[M] figures that turn inside one placed shape"
MEMORY = "[M] from memory"
SLIDE = f"{BLIGH}: a slide, or a hop when it is not fast"


class Row(NamedTuple):
    """``hands`` are those that it is given for: the thumb is on top in both, so most are for both."""

    notes: str
    fingers: str
    source: str
    hands: str = "RL"


class Interval(NamedTuple):
    """Two strings so many strings apart, both counted, together or in turn."""

    strings: int
    fingers: str
    source: str


class Chord(NamedTuple):
    """Three strings with two gaps between them, the lower one first, in strings (a 3rd is 2)."""

    lower: int
    upper: int
    fingers: str
    source: str


class Run(NamedTuple):
    """A run with every answer that is let stand, placings divided by ``|``."""

    notes: str
    answers: frozenset[str]
    source: str


INTERVALS = (
    Interval(2, "2-1", LEARNING),
    Interval(3, "2-1", LEARNING),
    Interval(4, "2-1", LEARNING),
    Interval(5, "3-1", LEARNING),
    Interval(6, "3-1", LEARNING),
    Interval(7, "4-1", f"{TRADE}: alone 4–1; {LEARNING}"),
    Interval(8, "4-1", LEARNING),
    Interval(9, "4-1", LEARNING),
    Interval(10, "4-1", LEARNING),
)

CONTEXT = (
    Row("C4-F4 D4-G4 E4-B4 F4-B4 G4-C5", "2-1 2-1 2-1 2-1 2-1", f"{TRADE}: a 5th among 4ths stays 2–1"),
    Row("C4-A4 D4-B4 E4-D5 F4-D5 G4-E5", "3-1 3-1 3-1 3-1 3-1", f"{TRADE}: a 7th takes the 6ths' fingers"),
    Row("C4-A4 D4-B4 E4-D5", "3-1 3-1 3-1", f"{TRADE}: a 7th takes the 6ths' fingers, at the end too", "R"),
    Row("C4-C5 D4-D5 E4-D5 F4-F5", "4-1 4-1 4-1 4-1", f"{TRADE}: a 7th takes the octaves' fingers"),
    Row("C4-E4-C5 D4-F4-D5 E4-G4-D5 F4-A4-F5", "4-3-1 4-3-1 4-3-1 4-3-1", f"{TRADE}: a 7th among octave chords 4 3 1"),
    Row("E4-G4-D5", "3-2-1", f"{TRADE}: a three-note seventh alone has the better control with 3 2 1"),
    Row("C4-E4 C4-F4 C4-G4 C4-A4 C4-C5", "2-1 2-1 3-1 3-1 4-1", LEARNING),
    Row("C4-E4 D4-F4 E4-G4 F4-A4", "2-1 2-1 2-1 2-1", LEARNING),
)
"""What the neighbours' shape does to a chord."""

TRIADS = tuple(
    Row(notes, "3-2-1", SIMPLE)
    for notes in (
        *("C4-E4-G4", "E4-G4-C5", "G3-C4-E4"),
        *("F4-A4-C5", "A3-C4-F4", "C4-F4-A4"),
        *("G4-B4-D5", "B3-D4-G4", "D4-G4-B4"),
        *("D4-F4-A4", "F4-A4-D5", "A3-D4-F4"),
        *("E4-G4-B4", "G4-B4-E5", "B3-E4-G4"),
        *("A3-C4-E4", "C4-E4-A4", "E4-A4-C5"),
    )
)
"""C, F, G, Dm, Em and Am in every inversion."""

OCTAVES = (
    Chord(1, 6, "4-3-1", f"{TRADE}: the middle note takes the finger that its distance from the thumb asks for"),
    Chord(2, 5, "4-3-1", f"{TRADE}: with a 3rd below it, 3 is fine"),
    Chord(3, 4, "4-2-1", f"{TRADE}: a 5th below the thumb and a 4th above the bottom takes 2"),
    Chord(4, 3, "4-2-1", f"{TRADE}: 4th or less: 2"),
    Chord(5, 2, "4-2-1", f"{TRADE}: 4th or less: 2"),
    Chord(6, 1, "4-2-1", f"{TRADE}: 4th or less: 2"),
    Chord(3, 5, "4-2-1", f"{TRADE}: even a 6th below the thumb takes 2 when a 4th lies under it"),
    Chord(2, 6, "4-3-1", f"{LEGACY}: the gap belongs beside the thumb"),
    Chord(4, 4, "4-2-1", f"{LEGACY}: the gap belongs beside the thumb"),
)
"""Three notes in an octave or a ninth."""

CHORDS = (
    Row("C4-D4-E4", "3-2-1", f"{TRADE}: three notes within a sixth"),
    Row("C4-E4-G4-C5", "4-3-2-1", f"{TRADE}: no choice"),
    Row("C4-F4-A4-C5", "4-3-2-1", f"{TRADE}: no choice"),
    Row("C4-D4-F4-G4", "4-3-2-1", f"{TRADE}: no choice"),
)

EXAMPLES = (
    Row("C4-E4 D4-F4", "2-1 2-1", HALL, "R"),
    Row("C4 B3 A3", "1 2 3", HALL),
    Row("C4 D4 E4 F4 G4 A4", "3 2 1 3 2 1", HALL),
    Row("A4 G4 F4 E4 D4 C4", "1 2 3 1 2 3", HALL),
    Row("C4-E5", "4-1", "[P] Learning the Harp; A. Sullivan: a tenth", "L"),
    Row("C4 D4 E4 F4 G4 A4 B4 C5", "4 3 2 1 4 3 2 1", BALLARD),
    Row("C5 B4 A4 G4 F4 E4 D4 C4", "1 2 3 4 1 2 3 4", BALLARD),
    Row("C4 E4 G4 C5 G4 E4", "4 3 2 1 2 3", FIGURE),
    Row("C4 G4 E4 G4", "3 1 2 1", FIGURE),
    Row("C4 G4 C5 G4", "4 2 1 2", FIGURE),
    Row("E4 D4 E4 D4 E4 D4 E4 D4", "1 2 1 2 1 2 1 2", f"{TRADE}: a wave on two neighbouring strings"),
    Row("D4 E4 D4 E4 D4 E4 D4 E4", "2 1 2 1 2 1 2 1", f"{TRADE}: a trill, written out"),
)
"""Worked examples, whatever the tempo."""

DRILLS = (
    Row("E5 D5 C5 B4 A4", "1 2 1 2 3", f"{VRUK}: turning over 2", "L"),
    Row("E5 D5 C5 B4", "1 2 3 1", f"{VRUK}: turning over 3", "L"),
    Row("F5 E5 D5 C5 B4", "1 2 3 4 1", f"{VRUK}: turning over 4", "L"),
)
"""Drills whose digits are all given: they are kept, and nothing is said against them."""

RUNS = (
    Run("C4 D4 E4 F4 G4 A4 B4", frozenset({"4 3 2 1 | 3 2 1", "3 2 1 | 4 3 2 1"}), MEMORY),
    Run("B4 A4 G4 F4 E4 D4 C4", frozenset({"1 2 3 4 | 1 2 3", "1 2 3 | 1 2 3 4"}), MEMORY),
    Run("C4 D4 E4 F4 G4", frozenset({"4 | 4 3 2 1", "4 3 2 1 | 1"}), SLIDE),
    Run("G4 F4 E4 D4 C4", frozenset({"1 | 1 2 3 4", "1 2 3 4 | 4"}), SLIDE),
    Run(
        "C4 D4 E4 F4 G4 A4 B4 C5 D5 E5 F5 G5 A5 B5 C6",
        frozenset(" | ".join("3 2 1" if place == short else "4 3 2 1" for place in range(4)) for short in range(4)),
        MEMORY,
    ),
)
