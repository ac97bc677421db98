"""What the search makes of the tables of the trade, row by row, in every register and at several tempos."""

from __future__ import annotations

import pytest

from lyfinger.fingering.search import place
from lyfinger.harp.hand import MEDIUM
from lyfinger.score.pitch import string_name
from tests.fingering.music import connected, digits, onset, passage, placed
from tests.fingering.trade_tables import (
    CHORDS,
    CONTEXT,
    DRILLS,
    EXAMPLES,
    INTERVALS,
    OCTAVES,
    RUNS,
    TRIADS,
    Chord,
    Interval,
    Row,
    Run,
)


def alone(*strings: int) -> str:
    return digits("-".join(map(string_name, strings)))


def for_hand(hand: str, notes: str) -> str:
    """Music where a hand has it: the left an octave lower."""
    return notes if hand == "R" else "".join(str(int(sign) - 1) if sign.isdigit() else sign for sign in notes)


@pytest.mark.parametrize("row", INTERVALS)
def test_an_interval_together_or_in_turn(row: Interval) -> None:
    """In every octave of the concert harp (C1 to G7), struck together, going up and going down, fast and slow."""
    for low in range(7, 54 - row.strings + 1):
        high = low + row.strings - 1
        assert alone(low, high) == row.fingers, (low, row.source)
        for gap in (100, 250, 800):
            up, down = f"{string_name(low)} {string_name(high)}", f"{string_name(high)} {string_name(low)}"
            assert digits(up, gap) == row.fingers.replace("-", " "), (low, gap, row.source)
            assert digits(down, gap) == row.fingers.replace("-", " ")[::-1], (low, gap, row.source)


@pytest.mark.parametrize("row", [*CONTEXT, *CHORDS, *TRIADS, *EXAMPLES])
@pytest.mark.parametrize("gap", [120, 250, 600])
def test_rows(row: Row, gap: int) -> None:
    """Whatever the tempo."""
    for hand in row.hands:
        assert digits(for_hand(hand, row.notes), gap) == row.fingers, (hand, row.source)


def test_three_notes_within_a_sixth() -> None:
    """3 2 1, all of them. [T]; [P] Simple Harp for the close triads. From C2 up on the concert harp."""
    for low in range(14, 48):
        for width in range(2, 6):
            for middle in range(1, width):
                assert alone(low, low + middle, low + width) == "3-2-1", (low, middle, width)


@pytest.mark.parametrize("lower", [1, 2, 3, 4])
def test_three_notes_in_a_seventh(lower: int) -> None:
    """3 2 1 has the better control [T]. With a 6th between 3 and 2 (lower = 5) it would be out of comfort: left out."""
    for low in range(21, 47):
        assert alone(low, low + lower, low + 6) == "3-2-1", low


@pytest.mark.parametrize("row", OCTAVES)
def test_three_notes_in_an_octave_or_ninth(row: Chord) -> None:
    for low in range(7, 54 - row.lower - row.upper):
        assert alone(low, low + row.lower, low + row.lower + row.upper) == row.fingers, (low, row.source)


def test_four_notes_have_no_choice() -> None:
    """4 3 2 1 [T]: the usual shapes inside an octave, in every register."""
    for low in range(7, 45):
        for second in (2, 3):
            for third in (4, 5):
                assert alone(low, low + second, low + third, low + 7) == "4-3-2-1"


@pytest.mark.parametrize("row", DRILLS)
def test_locked_drills_raise_nothing(row: Row) -> None:
    given = zip(for_hand("L", row.notes).split(), row.fingers.split(), strict=True)
    answer = place(passage(" ".join(f"{note}={finger}" for note, finger in given)), MEDIUM)
    assert answer.problems == (), row.source
    assert answer.fingers == tuple((int(finger),) for finger in row.fingers.split())


@pytest.mark.parametrize("row", RUNS)
def test_runs(row: Run) -> None:
    assert placed(row.notes, 150) in row.answers, row.source


def test_the_fingering_of_a_scale_does_not_depend_on_where_it_starts() -> None:
    """[P] blogarpa on a study of N.-C. Bochsa: it does not depend on the key. A key is a setting of pedals here."""
    for low in range(7, 46):
        notes = connected(tuple(onset((low + i,), i) for i in range(8)), 150)
        assert place(notes, MEDIUM).fingers == ((4,), (3,), (2,), (1,)) * 2
