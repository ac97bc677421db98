"""Short idiomatic passages, newly written, each with every answer that a harpist would let stand.

Statuses as in the trade's tables: [P] published, [T] common practice of the trade without a source, [M] from memory.
``tuned`` passages were looked at while the weights were set; the others were written at the same time, by the same
hand, and scored only when the weights stood. Once seen, an answer was let stand beside the first ones in two of the
tuned passages ("over a tenth and back", "three shapes in a round"): the hand keeps its connection in it.

``blind`` passages were written last, for figures that were not there yet, with every answer put down before the first
run. They were scored once. Neither a weight nor an answer was changed after that; what missed stays a miss, by name.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from itertools import permutations

from lyfinger.fingering.model import Passage, Step
from tests.fingering.music import onsets

GRACE_GAP = 90


_SIGNS = "~(!^*{,"


class Batch(Enum):
    """When a passage was written and looked at."""

    TUNED = "tuned"
    HELD = "held out"
    BLIND = "blind"


@dataclass(frozen=True, slots=True)
class Example:
    """``notes`` as in ``music``, ``gap`` milliseconds apart; a beat every ``beat`` onsets (grace notes not counted).

    Signs before a note: ``~`` grace note, ``(`` start of a slur, ``!`` trill, ``^`` glissando from here, ``*``
    harmonic, ``{`` arpeggio. ``,`` after a note: a rest of this hand.
    """

    name: str
    notes: str
    gap: int
    beat: int
    accepted: frozenset[str]
    status: str
    batch: Batch

    @property
    def passage(self) -> Passage:
        """The onsets and the steps between them."""
        words = self.notes.split()
        plain = onsets(" ".join(word.strip(_SIGNS) for word in words))
        graces = [word.startswith("~") for word in words]
        found, count = [], 0
        for note, word, grace in zip(plain, words, graces, strict=True):
            stress = 0 if grace or count % self.beat else (1 if count else 2)
            found.append(
                note._replace(
                    stress=stress, grace=grace, slur_start="(" in word, trill="!" in word,
                    glissando="^" in word, thumb_only="*" in word, rolled="{" in word,
                )
            )  # fmt: skip
            count += not grace
        gaps = [GRACE_GAP if grace else self.gap for grace in graces]
        steps = (Step(i, i + 1, gaps[i], pause="," in words[i]) for i in range(len(found) - 1))
        return Passage(tuple(found), tuple(steps))


def _orders(*groups: str) -> set[str]:
    return {" ".join(order) for order in permutations(groups)}


def _tuned(name: str, notes: str, gap: int, beat: int, accepted: set[str], status: str) -> Example:
    return Example(name, notes, gap, beat, frozenset(accepted), status, Batch.TUNED)


def _held(name: str, notes: str, gap: int, beat: int, accepted: set[str], status: str) -> Example:
    return Example(name, notes, gap, beat, frozenset(accepted), status, Batch.HELD)


def _blind(name: str, notes: str, gap: int, beat: int, accepted: set[str], status: str) -> Example:
    return Example(name, notes, gap, beat, frozenset(accepted), status, Batch.BLIND)


UP4, UP3, DOWN4, DOWN3 = "4 3 2 1", "3 2 1", "1 2 3 4", "1 2 3"

EXAMPLES = (
    # scales
    _tuned("seven down", "B4 A4 G4 F4 E4 D4 C4", 180, 4, _orders(DOWN4, DOWN3), "M"),
    _held("ten up", "C4 D4 E4 F4 G4 A4 B4 C5 D5 E5", 180, 4, _orders(UP4, UP3, UP3), "M"),
    _held("eleven down", "F5 E5 D5 C5 B4 A4 G4 F4 E4 D4 C4", 150, 4, _orders(DOWN4, DOWN4, DOWN3), "M"),
    _held(
        "twelve up, slow", "G2 A2 B2 C3 D3 E3 F3 G3 A3 B3 C4 D4", 450, 4,
        {" ".join([UP4] * 3), " ".join([UP3] * 4)}, "T",
    ),
    _tuned("two octaves up", "C4 D4 E4 F4 G4 A4 B4 C5 D5 E5 F5 G5 A5 B5 C6", 130, 4, _orders(UP3, UP4, UP4, UP4), "M"),
    _tuned(
        "an octave up and down", "C4 D4 E4 F4 G4 A4 B4 C5 B4 A4 G4 F4 E4 D4 C4", 180, 4,
        {"4 3 2 1 4 3 2 1 2 3 4 1 2 3 4"}, "P: the two halves, Ballard",
    ),
    _held("a sixth up and down", "C4 D4 E4 F4 G4 A4 G4 F4 E4 D4 C4", 200, 3, {"3 2 1 3 2 1 2 3 1 2 3"}, "P: Hall"),
    _tuned(
        "down and on in thirds", "E3 D3 C3 B2 A2 G2 F2 E2 (G2 B2 D3 E3 D3 B2 G2 B2", 217, 4,
        {"1 2 3 4 1 2 3 4 4 3 2 1 2 3 4 3"}, "T",
    ),
    # arpeggios
    _tuned("an octave up and down, broken", "C3 E3 G3 C4 G3 E3 C3", 200, 4, {"4 3 2 1 2 3 4"}, "T"),
    _tuned("two octaves up, triad", "C3 E3 G3 C4 E4 G4 C5", 200, 4, _orders(UP4, UP3), "T"),
    _held("two octaves down, triad", "C6 G5 E5 C5 G4 E4 C4", 200, 4, _orders(DOWN4, DOWN3), "T"),
    _held("three octaves up, triad", "C3 E3 G3 C4 E4 G4 C5 E5 G5 C6", 160, 3, _orders(UP4, UP3, UP3), "T"),
    _tuned("two octaves up, first inversion", "E3 G3 C4 E4 G4 C5 E5", 200, 4, _orders(UP4, UP3), "T"),
    _tuned("seventh chord up", "G3 B3 D4 F4 G4 B4 D5 F5", 180, 4, {"4 3 2 1 4 3 2 1"}, "T"),
    _held("seventh chord down", "F5 D5 B4 G4 F4 D4 B3 G3", 180, 4, {"1 2 3 4 1 2 3 4"}, "T"),
    _tuned("slurred fours down", "(E5 B4 G4 E4 (B4 G4 E4 B3 (G4 E4 B3 G3", 217, 4, {" ".join([DOWN4] * 3)}, "T"),
    _held("slurred fours up", "(G3 B3 E4 G4 (B3 E4 G4 B4 (E4 G4 B4 E5", 217, 4, {" ".join([UP4] * 3)}, "T"),
    _tuned(
        "over a tenth and back", "A2 C3 E3 A3 C4 A3 E3 C3 A2", 217, 4,
        {"1 4 3 2 1 2 3 4 4", "4 4 3 2 1 2 3 4 4", "4 3 2 1 1 2 3 4 4", "2 4 3 2 1 2 3 4 4", "4 3 2 1 1 2 3 4 1",
         "2 1 3 2 1 2 3 1 2"}, "T",
    ),
    # broken chords, rocking basses
    _tuned("low, fifth, third, fifth", "C3 G3 E3 G3 B2 G3 D3 G3 C3 G3 E3 G3", 200, 4, {"3 1 2 1 3 1 2 1 3 1 2 1"}, "T"),
    _held("the same, rising", "C3 G3 E3 G3 D3 A3 F3 A3 E3 B3 G3 B3", 200, 4, {"3 1 2 1 3 1 2 1 3 1 2 1"}, "T"),
    _tuned("rocking octaves", "C3 G3 C4 G3 F2 C3 F3 C3 G2 D3 G3 D3", 430, 4, {"4 2 1 2 4 2 1 2 4 2 1 2"}, "T"),
    _tuned("octave, sixth, octave", "E2 B2 E3 B2 G2 B2 E3 B2 A2 E3 A3 E3", 430, 4, {"4 2 1 2 3 2 1 2 4 2 1 2"}, "T"),
    _held("sixth, octave, fifth", "G2 B2 E3 B2 A2 E3 A3 E3 D3 F3 A3 F3", 220, 4, {"3 2 1 2 4 2 1 2 3 2 1 2"}, "T"),
    _tuned("broken triads up by step", "C4 E4 G4 D4 F4 A4 E4 G4 B4", 200, 3, {"3 2 1 3 2 1 3 2 1"}, "T"),
    _held("broken triads down by step", "G4 E4 C4 F4 D4 B3 E4 C4 A3", 200, 3, {"1 2 3 1 2 3 1 2 3"}, "T"),
    _held("up and back by step", "C4 E4 G4 E4 D4 F4 A4 F4", 300, 4, {"3 2 1 2 3 2 1 2"}, "T"),
    _tuned(
        "three shapes in a round", "G4 B4 D5 B4 C5 A4 F4 A4 B4 C5 B4 A4", 326, 4,
        {"3 2 1 2 1 2 3 2 2 1 2 3", "3 2 1 2 1 3 4 3 2 1 2 3"}, "T",
    ),
    _held("a sixth in turn", "C4 A4 C4 A4 C4 A4", 120, 2, {"3 1 3 1 3 1"}, "T"),
    # runs of like shapes
    _tuned("thirds up", "C4-E4 D4-F4 E4-G4 F4-A4 G4-B4 A4-C5", 300, 2, {" ".join(["2-1"] * 6)}, "P: Hall"),
    _held("sixths down", "C5-A5 B4-G5 A4-F5 G4-E5 F4-D5", 300, 2, {" ".join(["3-1"] * 5)}, "T"),
    _held("thirds and a sixth", "C4-E4 D4-F4 B3-G4 C4-E4", 435, 2, {"2-1 2-1 3-1 2-1"}, "T"),
    _tuned("octave melody", "E4-E5 D4-D5 C4-C5 A4-A5", 435, 2, {" ".join(["4-1"] * 4)}, "T"),
    _held("octaves by leap", "C2-C3 G2-G3 F2-F3 C2-C3", 600, 2, {" ".join(["4-1"] * 4)}, "T"),
    # chords
    _tuned("close triads", "C4-E4-G4 C4-F4-A4 D4-G4-B4 E4-G4-C5", 700, 1, {" ".join(["3-2-1"] * 4)}, "P: Simple Harp"),
    _held("fifth and octave", "C3-G3-C4 F2-C3-F3 G2-D3-G3", 700, 1, {" ".join(["4-2-1"] * 3)}, "T"),
    _tuned("third and octave", "C4-E4-C5 D4-F4-D5 E4-G4-E5", 700, 1, {" ".join(["4-3-1"] * 3)}, "T"),
    _held("four notes and three", "C4-E4-G4-C5 D4-F4-B4 C4-E4-G4", 700, 1, {"4-3-2-1 3-2-1 3-2-1"}, "T"),
    _held("octave, then sixth", "C3-G3-C4 E3-G3-C4 C3-G3-C4", 600, 1, {"4-2-1 3-2-1 4-2-1"}, "T"),
    # melody and chords in one hand
    _tuned("a chord, and its tune goes up", "E4-G4-B4 C5 B3-D4-F4", 870, 1, {"3-2-1 1 3-2-1"}, "T"),
    _tuned("a chord, and its tune goes down", "C4-E4-A4 G4 B3-D4-F4", 870, 1, {"3-2-1 1 3-2-1", "3-2-1 2 3-2-1"}, "T"),
    _held("the same in haste", "E4-G4-B4 C5", 110, 2, {"4-3-2 1"}, "M"),
    _held(
        "tune, chord, chord", "C5 E4-G4 E4-G4 B4 D4-G4 D4-G4", 500, 3,
        {"1 3-2 3-2 1 3-2 3-2", "1 2-1 2-1 1 2-1 2-1"}, "M",
    ),
    _tuned("bass, chord, chord", "C3 E3-G3 E3-G3 B2 D3-G3 D3-G3", 430, 3, {"3 2-1 2-1 3 2-1 2-1"}, "T"),
    _tuned("a note, then thirds", "G5 B4-D5 B4-D5 B4-D5", 326, 2, {"1 2-1 2-1 2-1"}, "T"),
    # repeated notes, turns, grace notes
    _tuned("a tune on one string", "A4 A4 A4 A4 D4 F4 A4", 357, 2, {"1 1 1 1 3 2 1"}, "T"),
    _tuned("the same a string lower, and back", "G4 G4 G4 G4 C4 E4 G4 A4 A4 A4", 357, 4, {"1 1 1 1 3 2 1 1 1 1"}, "M"),
    _held("the same by step", "E4 E4 E4 C4 D4 E4 F4 F4 F4", 400, 3, {"1 1 1 3 2 1 1 1 1", "2 2 2 4 3 2 1 1 1"}, "M"),
    _tuned("three strings and back", "C5 B4 A4 B4 C5", 200, 4, {"1 2 3 2 1"}, "T"),
    _held("a written turn", "D5 E5 D5 C5 D5", 150, 4, {"2 1 2 3 2"}, "T"),
    _tuned(
        "three strings in a round", "(C4 D4 E4 C4 (D4 E4 F4 D4 (E4 F4 G4 E4", 300, 4, {" ".join(["3 2 1 3"] * 3)}, "T",
    ),
    _held("three strings in a round, down", "(G4 F4 E4 G4 (F4 E4 D4 F4", 300, 4, {"1 2 3 1 1 2 3 1"}, "T"),
    _tuned("two grace notes", "~E5 ~F5 G5 E5 B4 G4 (B4 G4 E4 B3", 435, 4, {"3 2 1 2 3 4 1 2 3 4"}, "T"),
    _held("one grace note", "~B4 C5 A4 F4", 435, 3, {"2 1 2 3", "2 1 3 4"}, "T"),
    # written last, blind
    _blind("a wave and its way out", "E5 F5 E5 F5 E5 F5 E5 D5 C5", 110, 4, {"2 1 2 1 2 1 2 3 4"}, "T"),
    _blind("a trill sign and its close", "!D5 ~C5 ~D5 E5", 500, 1, {"2 3 2 1"}, "T"),
    _blind("glissando up, then down the chord", "^C3 C6 G5 E5 C5", 400, 2, {"2 1 2 3 4"}, "P: Gibson; T"),
    _blind("up the chord, then glissando down", "E5 G5 ^C6 C4 E4 G4", 400, 3, {"3 2 1 3 2 1"}, "T"),
    _blind("harmonics, then a chord", "*C4 *E4 *G4 C4-E4-G4", 600, 2, {"1 1 1 3-2-1"}, "T"),
    _blind("a tune over broken thirds", "C5 E4 G4 E4 B4 D4 G4 D4", 300, 4, {"1 3 2 3 1 3 2 3"}, "T"),
    _blind(
        "a tune over repeated thirds", "E4-G4-C5 E4-G4 E4-G4-B4 E4-G4", 400, 2,
        {"3-2-1 3-2 3-2-1 3-2", "3-2-1 2-1 3-2-1 2-1"}, "M",
    ),
    _blind(
        "arpeggiated chords", "{C3-G3-C4-E4 {F3-A3-C4-F4 {G3-D4-G4", 900, 1, {"4-3-2-1 4-3-2-1 4-2-1"}, "T",
    ),
    _blind("three grace notes up a chord", "~C4 ~E4 ~G4 C5 G4 E4", 400, 3, {"4 3 2 1 2 3"}, "T"),
    _blind("two grace notes down", "~A5 ~G5 F5 D5", 400, 2, {"1 2 3 4"}, "T"),
    _blind(
        "a run between the hands, upper part", "G4 A4 B4 C5, A5 B5 C6 D6, D6 C6 B5 A5, C5 B4 A4 G4", 100, 4,
        {"4 3 2 1 4 3 2 1 1 2 3 4 1 2 3 4"}, "P: Ballard, the groups",
    ),
    _blind(
        "a chord between the hands, lower part", "C3 E3 G3, C5 E5 G5, G4 E4 C4", 130, 3, {"3 2 1 3 2 1 1 2 3"}, "T",
    ),
    _blind(
        "pairs of repeated notes, fast", "E5 E5 D5 D5 C5 C5 B4 B4", 110, 4,
        {"1 2 1 2 1 2 1 2", "2 1 2 1 2 1 2 1"}, "T",
    ),
    _blind(
        "five notes up and down, fast", "C5 D5 E5 F5 G5 F5 E5 D5 C5", 110, 4,
        {"2 1 3 2 1 2 3 1 2", "3 2 1 2 1 2 1 2 3", "4 4 3 2 1 2 3 1 2", "4 4 3 2 1 1 2 3 4", "4 4 3 2 1 2 3 4 1",
         "3 2 1 2 1 2 3 1 2", "2 1 3 2 1 2 1 2 3", "2 1 3 2 1 1 2 3 4", "1 4 3 2 1 2 3 4 1"}, "P: Bligh, the slides; M",
    ),
    _blind(
        "five notes up, twice", "A4 B4 C5 D5 E5 A4 B4 C5 D5 E5", 130, 5,
        {"4 4 3 2 1 4 4 3 2 1", "2 1 3 2 1 2 1 3 2 1", "3 2 1 2 1 3 2 1 2 1"}, "P: Bligh",
    ),
    _blind("rocking tenths", "C2 G2 E3 G2 F2 C3 A3 C3", 250, 4, {"4 2 1 2 4 2 1 2"}, "T"),
)  # fmt: skip
