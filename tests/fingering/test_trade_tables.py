"""The tables of the trade, row by row, each with its status and source: [P] published, [T] common practice of the
trade without a source, [M] from memory."""

from __future__ import annotations

import pytest

from lyfinger.fingering.search import place
from lyfinger.harp.hand import MEDIUM
from tests.fingering.music import LETTERS, connected, digits, onset, passage, placed

LEARNING = "[T]; [P] Learning the Harp, 10 Rules of Harp Fingering"
SIMPLE = "[P] Simple Harp, Accords sur 3 doigts"
HALL = "[P] D. Hall, The Complete Chromatic Harp"
BALLARD = "[P] S. Ballard; blogarpa on a study of N.-C. Bochsa"
TRADE = "[T] common practice, no source"
MEMORY = "[M] from memory"
LEGACY = "[T]; [P] The Harp Legacy Project, Typical Compositional Issues"
BLIGH = "[P] E. Volpé Bligh, Writing for the Pedal Harp"


def alone(*strings: int) -> str:
    (fingers,) = place(connected((onset(strings),)), MEDIUM).fingers
    return " ".join(str(finger) for finger in fingers)


INTERVALS = [
    (2, "2 1", LEARNING),
    (3, "2 1", LEARNING),
    (4, "2 1", LEARNING),
    (5, "3 1", LEARNING),
    (6, "3 1", LEARNING),
    (7, "4 1", f"{TRADE}: alone 4–1; {LEARNING}"),
    (8, "4 1", LEARNING),
    (9, "4 1", LEARNING),
    (10, "4 1", LEARNING),
]


@pytest.mark.parametrize(("interval", "fingers", "source"), INTERVALS)
def test_an_interval_together_or_in_turn(interval: int, fingers: str, source: str) -> None:
    """In every octave of the concert harp (C1 to G7), struck together, going up and going down, fast and slow."""
    for low in range(7, 54 - interval + 1):
        high = low + interval - 1
        assert alone(low, high) == fingers, (low, source)
        for gap in (100, 250, 800):
            up = place(connected((onset((low,), 0), onset((high,), 1)), gap), MEDIUM)
            down = place(connected((onset((high,), 0), onset((low,), 1)), gap), MEDIUM)
            assert up.fingers == tuple((int(f),) for f in fingers.split()), (low, gap, source)
            assert down.fingers == tuple((int(f),) for f in reversed(fingers.split())), (low, gap, source)


CONTEXT = [
    ("C4-F4 D4-G4 E4-B4 F4-B4 G4-C5", "2-1 2-1 2-1 2-1 2-1", f"{TRADE}: a 5th among 4ths stays 2–1"),
    ("C3-F3 D3-G3 E3-B3 F3-B3 G3-C4", "2-1 2-1 2-1 2-1 2-1", f"{TRADE}: a 5th among 4ths stays 2–1"),
    ("C4-A4 D4-B4 E4-D5 F4-D5 G4-E5", "3-1 3-1 3-1 3-1 3-1", f"{TRADE}: a 7th takes the 6ths' fingers"),
    ("C4-A4 D4-B4 E4-D5", "3-1 3-1 3-1", f"{TRADE}: a 7th takes the 6ths' fingers, at the end too"),
    ("C4-C5 D4-D5 E4-D5 F4-F5", "4-1 4-1 4-1 4-1", f"{TRADE}: a 7th takes the octaves' fingers"),
    ("C4-E4-C5 D4-F4-D5 E4-G4-D5 F4-A4-F5", "4-3-1 4-3-1 4-3-1 4-3-1", f"{TRADE}: a 7th among octave chords 4 3 1"),
    ("E4-G4-D5", "3-2-1", f"{TRADE}: a three-note seventh alone 3 2 1"),
    ("C4-E4 C4-F4 C4-G4 C4-A4 C4-C5", "2-1 2-1 3-1 3-1 4-1", LEARNING),
    ("C4-E4 D4-F4 E4-G4 F4-A4", "2-1 2-1 2-1 2-1", LEARNING),
]


@pytest.mark.parametrize(("notes", "fingers", "source"), CONTEXT)
@pytest.mark.parametrize("gap", [150, 300, 700])
def test_the_neighbours_shape(notes: str, fingers: str, source: str, gap: int) -> None:
    assert digits(notes, gap) == fingers, source


def test_three_notes_within_a_sixth() -> None:
    """3 2 1, all of them. [T]; [P] Simple Harp for the close triads. From C2 up on the concert harp."""
    for low in range(14, 48):
        for width in range(2, 6):
            for middle in range(1, width):
                assert alone(low, low + middle, low + width) == "3 2 1", (low, middle, width)


TRIADS = [f"{letter}{octave}" for letter in "CFGDEA" for octave in (3, 4)]


@pytest.mark.parametrize("root", TRIADS)
def test_close_triads_in_every_inversion(root: str) -> None:
    """C, F, G, Dm, Em and Am triads: 3 2 1, right and left. [P] Simple Harp, Accords sur 3 doigts."""
    low = int(root[1:]) * 7 + LETTERS.index(root[0])
    for strings in ((low, low + 2, low + 4), (low + 2, low + 4, low + 7), (low + 4, low + 7, low + 9)):
        assert alone(*strings) == "3 2 1"


@pytest.mark.parametrize("lower", [1, 2, 3, 4])
def test_three_notes_in_a_seventh(lower: int) -> None:
    """3 2 1 has the better control [T]. With a 6th between 3 and 2 (lower = 5) it would be out of comfort: left out."""
    for low in range(21, 47):
        assert alone(low, low + lower, low + 6) == "3 2 1", low


OCTAVES = [
    (1, 6, "4 3 1", f"{TRADE}: the middle note takes the finger that its distance from the thumb asks for"),
    (2, 5, "4 3 1", f"{TRADE}: with a 3rd below it, 3 is fine"),
    (3, 4, "4 2 1", f"{TRADE}: a 5th below the thumb and a 4th above the bottom takes 2"),
    (4, 3, "4 2 1", f"{TRADE}: 4th or less: 2"),
    (5, 2, "4 2 1", f"{TRADE}: 4th or less: 2"),
    (6, 1, "4 2 1", f"{TRADE}: 4th or less: 2"),
    (3, 5, "4 2 1", f"{TRADE}: even a 6th below the thumb takes 2 when a 4th lies under it"),
    (2, 6, "4 3 1", f"{LEGACY}: the gap belongs beside the thumb"),
    (4, 4, "4 2 1", f"{LEGACY}: the gap belongs beside the thumb"),
]


@pytest.mark.parametrize(("lower", "upper", "fingers", "source"), OCTAVES)
def test_three_notes_in_an_octave_or_ninth(lower: int, upper: int, fingers: str, source: str) -> None:
    """``lower`` and ``upper`` are the two gaps in strings (a 3rd is 2)."""
    for low in range(7, 54 - lower - upper):
        assert alone(low, low + lower, low + lower + upper) == fingers, (low, source)


def test_four_notes_have_no_choice() -> None:
    """4 3 2 1 [T]: the usual shapes inside an octave, in every register."""
    for low in range(7, 45):
        for second in (2, 3):
            for third in (4, 5):
                assert alone(low, low + second, low + third, low + 7) == "4 3 2 1"


EXAMPLES = [
    ("R", "C4-E4 D4-F4", "2-1 2-1", HALL),
    ("R, L", "C4 B3 A3", "1 2 3", HALL),
    ("R, L", "C4 D4 E4 F4 G4 A4", "3 2 1 3 2 1", HALL),
    ("R, L", "A4 G4 F4 E4 D4 C4", "1 2 3 1 2 3", HALL),
    ("L", "C3 D3 E3 F3 G3 A3", "3 2 1 3 2 1", HALL),
    ("L", "A3 G3 F3 E3 D3 C3", "1 2 3 1 2 3", HALL),
    ("R, L", "C4-E4-G4", "3-2-1", SIMPLE),
    ("R, L", "E4-G4-C5", "3-2-1", SIMPLE),
    ("R, L", "G3-C4-E4", "3-2-1", SIMPLE),
    ("L", "C3-E4", "4-1", "[P] Learning the Harp; A. Sullivan"),
    ("R", "C4 D4 E4 F4 G4 A4 B4 C5", "4 3 2 1 4 3 2 1", BALLARD),
    ("R", "C5 B4 A4 G4 F4 E4 D4 C4", "1 2 3 4 1 2 3 4", BALLARD),
    ("R, L", "C4 E4 G4 C5 G4 E4", "4 3 2 1 2 3", f"{TRADE}/[M]"),
    ("R, L", "C3 G3 E3 G3", "3 1 2 1", f"{TRADE}/[M]"),
    ("R, L", "C3 G3 C4 G3", "4 2 1 2", f"{TRADE}/[M]"),
    ("R, L", "E5 D5 E5 D5 E5 D5", "1 2 1 2 1 2", f"{TRADE}: a wave on two neighbouring strings"),
    ("R, L", "D5 E5 D5 E5 D5 E5", "2 1 2 1 2 1", f"{TRADE}: a trill, written out"),
]


@pytest.mark.parametrize(("hands", "notes", "fingers", "source"), EXAMPLES)
@pytest.mark.parametrize("gap", [120, 250, 600])
def test_worked_examples(hands: str, notes: str, fingers: str, source: str, gap: int) -> None:
    """``hands`` is for the reader: the thumb is on top in both, so one table serves both. Whatever the tempo."""
    assert digits(notes, gap) == fingers, source


DRILLS = [
    ("E4 D4 C4 B3 A3", "1 2 1 2 3", "[P] Telenn Vruk, lesson 15: turning over 2"),
    ("E4 D4 C4 B3", "1 2 3 1", "[P] Telenn Vruk, lesson 15: turning over 3"),
    ("F4 E4 D4 C4 B3", "1 2 3 4 1", "[P] Telenn Vruk, lesson 15: turning over 4"),
]


@pytest.mark.parametrize(("notes", "fingers", "source"), DRILLS)
def test_locked_drills_raise_nothing(notes: str, fingers: str, source: str) -> None:
    locked = " ".join(f"{note}={finger}" for note, finger in zip(notes.split(), fingers.split(), strict=True))
    answer = place(passage(locked), MEDIUM)
    assert answer.problems == (), source
    assert answer.fingers == tuple((int(finger),) for finger in fingers.split())


VOCABULARY = [
    ("C4 D4 E4 F4 G4 A4 B4", {"4 3 2 1 | 3 2 1", "3 2 1 | 4 3 2 1"}, MEMORY),
    ("B4 A4 G4 F4 E4 D4 C4", {"1 2 3 4 | 1 2 3", "1 2 3 | 1 2 3 4"}, MEMORY),
    ("C4 D4 E4 F4 G4", {"4 | 4 3 2 1", "4 3 2 1 | 1"}, f"{BLIGH}: a slide, or a hop when it is not fast"),
    ("G4 F4 E4 D4 C4", {"1 | 1 2 3 4", "1 2 3 4 | 4"}, f"{BLIGH}: a slide, or a hop when it is not fast"),
]


@pytest.mark.parametrize(("notes", "answers", "source"), VOCABULARY)
def test_vocabulary_of_runs(notes: str, answers: set[str], source: str) -> None:
    assert placed(notes, 150) in answers, source


def test_the_fingering_of_a_scale_does_not_depend_on_where_it_starts() -> None:
    """[P] blogarpa on a study of N.-C. Bochsa: it does not depend on the key. A key is a setting of pedals here."""
    for low in range(7, 46):
        notes = connected(tuple(onset((low + i,), i) for i in range(8)), 150)
        assert place(notes, MEDIUM).fingers == ((4,), (3,), (2,), (1,)) * 2
