"""Figures of every kind: what has to hold in them, whatever the digits are. Sources as in the rules' docstrings."""

from __future__ import annotations

from itertools import pairwise

import pytest

from lyfinger.fingering.model import Passage, Placed
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.harp.hand import MEDIUM
from tests.fingering.music import connected, digits, numbered, onset, onsets, placed, read


def line(*strings: int, gap: int = 150) -> Passage:
    return connected(tuple(onset((string,), key) for key, string in enumerate(strings)), gap)


def groups(answer: Placed) -> list[tuple[int, ...]]:
    found: list[list[int]] = []
    for index, fingers in enumerate(answer.fingers):
        if not index or answer.placings[index] != answer.placings[index - 1]:
            found.append([])
        found[-1].extend(finger for finger in fingers if finger is not None)
    return [tuple(group) for group in found]


def hops(music: Passage, answer: Placed) -> int:
    """The same finger on two strings running, slides apart."""
    count = 0
    for (old, one), (new, two) in pairwise(zip(music.onsets, answer.fingers, strict=True)):
        leap = new.strings[0] - old.strings[0]
        count += one == two and leap not in (0, -1 if one == (1,) else 1)
    return count


@pytest.mark.parametrize("length", range(6, 17))
@pytest.mark.parametrize("gap", [100, 250, 500])
def test_scales_go_in_threes_and_fours(length: int, gap: int) -> None:
    """Groups of 3 2 1 and 4 3 2 1 [P: Hall], up and down, no hop and as few groups as can be."""
    for strings, whole in (
        (range(length), [(3, 2, 1), (4, 3, 2, 1)]),
        (range(length, 0, -1), [(1, 2, 3), (1, 2, 3, 4)]),
    ):
        answer = place(line(*(24 + s for s in strings), gap=gap), MEDIUM)
        assert all(group in whole for group in groups(answer))
        assert len(groups(answer)) == -(-length // 4)


def test_five_notes_slide() -> None:
    """[P] Bligh: a slide, of the thumb to the lower string, of 4 to the higher."""
    assert placed("G4 F4 E4 D4 C4", 120) == "1 | 1 2 3 4"
    assert placed("C4 D4 E4 F4 G4", 120) == "4 | 4 3 2 1"


@pytest.mark.parametrize("notes", range(3, 14))
def test_arpeggios_neither_hop_nor_leave_the_strings(notes: int) -> None:
    """Triads over several octaves in quick notes: every crossing is one [T]."""
    chord = [20 + 7 * (i // 3) + (0, 2, 4)[i % 3] for i in range(notes)]
    for strings in (chord, chord[::-1]):
        music = line(*strings)
        answer = place(music, MEDIUM)
        assert hops(music, answer) == 0
        assert {len(group) for group in groups(answer)[1:-1]} <= {3, 4}


BROKEN = [
    ("C3 G3 E3 G3 C3 G3 E3 G3", "3 1 2 1 3 1 2 1"),
    ("C3 G3 C4 G3 C3 G3 C4 G3", "4 2 1 2 4 2 1 2"),
    ("C3 G3 E4 G3", "4 2 1 2"),
    ("C4 E4 G4 C5 G4 E4 C4 E4 G4 C5 G4 E4", "4 3 2 1 2 3 4 3 2 1 2 3"),
    ("E4 C4 G4 C4", "2 3 1 3"),
]


@pytest.mark.parametrize(("notes", "fingers"), BROKEN)
@pytest.mark.parametrize("gap", [120, 300, 700])
def test_broken_chords_stay_in_one_placing(notes: str, fingers: str, gap: int) -> None:
    """[T/M]: a figure that turns inside one placed shape stays in it, for as long as it goes on."""
    assert placed(notes, gap) == fingers


def test_a_figure_may_go_on_in_its_shape_without_end() -> None:
    music = line(*(28, 30, 32, 35, 32, 30) * 50)
    assert len(set(place(music, MEDIUM).placings)) == 1


def test_a_bass_and_its_chords() -> None:
    """Low note and two upper notes in turn, within a hand's shape [T]."""
    assert placed("C3 E3-G3 E3-G3", 300) == "3 2-1 2-1"
    assert placed("C3 G3-C4 G3-C4", 300) == "4 2-1 2-1"
    assert placed("C2 E3-G3-C4 G2 E3-G3-C4", 300) == "4 | 3-2-1 | 4 | 3-2-1"


def test_a_melody_over_a_chord_keeps_the_thumb_on_top() -> None:
    """[T] thumb on the top melody note."""
    for gap in (150, 400, 900):
        assert digits("E5 C4-E4-G4 D5 C4-E4-G4", gap).split()[::2] == ["1", "1"]


def test_repeated_notes_change_fingers_when_fast() -> None:
    """[P] Goss: a fast repeat is poor writing; [T] change fingers. When slow, one finger does."""
    assert place(line(30, 30, 30, 30, gap=100), MEDIUM).fingers == ((1,), (2,), (1,), (2,))
    assert len(set(place(line(30, 30, 30, 30, gap=400), MEDIUM).fingers)) == 1


def test_repeated_chords_keep_their_shape() -> None:
    """[T]: in repeated chords the shape wins, however fast."""
    assert placed("C4-E4-G4 C4-E4-G4 C4-E4-G4", 100) == "3-2-1 3-2-1 3-2-1"


def test_a_trill_sign_takes_the_index() -> None:
    """[T]: 2 and 1 in turn, the written note is the lower one."""
    note = onset((30,))._replace(trill=True)
    assert place(connected((note,)), MEDIUM).fingers == ((2,),)


def test_a_glissando_goes_up_with_the_index_and_down_with_the_thumb() -> None:
    """Up [P] K. Gibson, When Fingers Meet Strings; down [T]."""
    for strings, finger in (((21, 42), 2), ((42, 21), 1)):
        first, second = (onset((string,), key) for key, string in enumerate(strings))
        music = connected((first._replace(glissando=True), second), 3000)
        answer = place(music, MEDIUM)
        assert answer.lifts == {0}, "the hand stays on the strings, however long it takes"
        assert answer.fingers[0] == (finger,)
        assert answer.placings[0] != answer.placings[1]


@pytest.mark.parametrize("count", [1, 2, 3])
def test_grace_notes_belong_to_the_placing_that_they_lead_to(count: int) -> None:
    """[T]."""
    notes = onsets("A4 B4 C5 D5")[-count - 1 :]
    before = onsets("C4 E4 G4")
    music = connected(numbered((*before, *(n._replace(grace=i < count) for i, n in enumerate(notes)))), 250)
    answer = place(music, MEDIUM)
    assert len(set(answer.placings[3:])) == 1


def test_groups_fall_on_beats_where_they_can() -> None:
    """[M]: seven notes from a beat of four: 4 3 2 1 3 2 1; from the second note of a beat: 3 2 1 4 3 2 1."""
    for offset, expected in ((0, "4 3 2 1 | 3 2 1"), (1, "3 2 1 | 4 3 2 1")):
        notes = tuple(
            n._replace(stress=int((i + offset) % 4 == 0)) for i, n in enumerate(onsets("C4 D4 E4 F4 G4 A4 B4"))
        )
        assert read(place(connected(notes, 150), MEDIUM)) == expected


def test_an_accent_asks_for_a_strong_finger() -> None:
    """[M]: the rule moves an accent off the ring finger where little else speaks."""
    first, *rest = onsets("C4 D4 E4 F4 G4")
    loud = connected((first._replace(accent=True), *rest), 150)
    quiet = connected((first, *rest), 150)
    heavy = Settings(weights=(("weak-finger", 2000),))
    assert place(quiet, MEDIUM).fingers[0] == (4,)
    assert place(loud, MEDIUM, heavy).fingers[0] in ((1,), (2,))


def test_what_is_fast_is_time() -> None:
    """Strings a second decide, not note values: the same notes, two tempos, another fingering of the repeats."""
    assert digits("C4 C4 C4 C4", 100) != digits("C4 C4 C4 C4", 500)
