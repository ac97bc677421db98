"""Passages from music. What is an onset, a pause, a lock is the trade's common practice without a source [T]; the
milliseconds follow from the metronome mark; the music is invented."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from lyfinger.fingering.model import Onset, Step
from lyfinger.hands.assign import assign
from lyfinger.hands.model import Hand
from lyfinger.marking.passages import HandPassage, Planned, plan
from lyfinger.score.tempo import pace

from ..score.sources import reading_of

#: A quarter takes half a second.
QUICK = r"\tempo 4 = 120 "


def planned(text: str) -> Planned:
    reading = reading_of(text)
    assert reading.messages == []
    return plan([(score, assign(score, {}), pace(score)) for score in reading.scores])


def piano(upper: str, lower: str = "c1") -> str:
    return f" \\score {{ \\new PianoStaff << \\new Staff {{ {upper} }} \\new Staff {{ {lower} }} >> }}"


def right(music: str, left: str = "s1") -> HandPassage:
    """The right hand's passage of a piano staff."""
    found = [part for part in planned(piano(QUICK + music, left)).passages if part.hand is Hand.RIGHT]
    assert len(found) == 1
    return found[0]


def strings(part: HandPassage) -> list[tuple[int, ...]]:
    return [onset.strings for onset in part.passage.onsets]


def steps(part: HandPassage) -> list[tuple[int, int, int]]:
    return [(step.before, step.after, step.gap) for step in part.passage.steps]


def pauses(part: HandPassage) -> list[bool]:
    return [step.pause for step in part.passage.steps]


ONSETS = {
    "single notes": ("c'4 d' e' f'", [(28,), (29,), (30,), (31,)]),
    "a chord, from the lowest string up": ("<g' c' e'>1", [(28, 30, 32)]),
    "an alteration is the same string": ("<c' eis' ges'>1", [(28, 30, 32)]),
    "two voices together": ("<< { g'2 a' } \\\\ { c'4 d' e' f' } >>", [(28, 32), (29,), (30, 33), (31,)]),
    "a unison is one string": ("<< { g'2 a' } \\\\ { <c' g'>1 } >>", [(28, 32), (33,)]),
    "a tied note is no onset": ("c'2 ~ c'4 d'", [(28,), (29,)]),
    "a tied chord with a new note": ("<c' e'>2 ~ <c' e' g'>2", [(28, 30), (32,)]),
    "a chord repeated with q": ("<c' e'>2 q", [(28, 30), (28, 30)]),
    "grace notes": ("\\grace { c'16 d' } e'1", [(28,), (29,), (30,)]),
    "rests and spacers are none": ("c'4 r s d'", [(28,), (29,)]),
}


@pytest.mark.parametrize("name", ONSETS)
def test_onsets(name: str) -> None:
    music, wanted = ONSETS[name]
    assert strings(right(music)) == wanted


GAPS = {
    "by the metronome": ("c'4 d'8 e' f'2 g'1", [(0, 1, 500), (1, 2, 250), (2, 3, 250), (3, 4, 1000)]),
    "over a rest": ("c'4 r d'2", [(0, 1, 1000)]),
    "a new tempo on the way": ("c'2 d'4 \\tempo 4 = 60 s4 e'1", [(0, 1, 1000), (1, 2, 1500)]),
    "a repeat": (
        "c'4 \\repeat volta 2 { d'4 e' } f'",
        [(0, 1, 500), (1, 2, 500), (2, 1, 500), (2, 3, 500)],
    ),
    "alternatives": (
        "\\repeat volta 2 { c'2 } \\alternative { { d'4 } { e'2. } } f'1",
        [(0, 1, 1000), (0, 2, 1000), (1, 0, 500), (2, 3, 1500)],
    ),
    "grace notes push their main note back": (
        "c'4 \\grace { d'16 e' } f'4 g'2",
        [(0, 1, 500), (1, 2, 90), (2, 3, 90), (3, 4, 320)],
    ),
    "and take half of it at most": (
        "c'4 \\grace { d'16 e' } f'16 g'8.",
        [(0, 1, 500), (1, 2, 31), (2, 3, 31), (3, 4, 62)],
    ),
}


@pytest.mark.parametrize("name", GAPS)
def test_gaps(name: str) -> None:
    music, wanted = GAPS[name]
    assert steps(right(music)) == wanted


PAUSES = {
    "none between notes that touch": ("c'4 d' e' f'", [False, False, False]),
    "a rest": ("c'4 r d'2", [True]),
    "a spacer": ("c'4 s d'2", [True]),
    "a fermata": ("c'4\\fermata d'2.", [True]),
    "a breath": ("c'4 \\breathe d'2.", [True]),
    "a voice that goes on": ("<< { c''4 r e''2 } \\\\ { c'2 d' } >>", [False]),
    "a rest in both voices": ("<< { c''4 r e''2 } \\\\ { c'4 r d'2 } >>", [True]),
    "a held note over notes that move": ("<< { c''1 } \\\\ { c'4 d' r f' } >>", [False, False]),
    "the second voice rests at the end": ("<< { c''2 e'' } \\\\ { c'4 r r r } >> f'1", [False, False]),
    "a tie up to the next note": ("c'4 ~ c'4 d'2", [False]),
    "a repeat with a rest at its end": ("\\repeat volta 2 { c'4 d' r2 } e'1", [False, True, True]),
}


@pytest.mark.parametrize("name", PAUSES)
def test_pauses(name: str) -> None:
    music, wanted = PAUSES[name]
    assert pauses(right(music)) == wanted


def test_a_moment_that_stays_unmarked_is_no_onset_and_the_hand_may_lift() -> None:
    part = right("c'4 <c' e' g' b' d''> e' f'", "c4 d e f")
    assert strings(part) == [(28,), (30,), (31,)]
    assert pauses(part) == [True, False]


def test_notes_passed_over_are_the_other_hands() -> None:
    music = "\\score { \\new PianoStaff << \\new Staff { <c' e' g' b' d''>2 c'2 } \\new Staff { r2 c2 } >> }"
    assert [(part.hand, strings(part)) for part in planned(music).passages] == [
        (Hand.RIGHT, [(30, 32, 34, 36), (28,)]),
        (Hand.LEFT, [(28,), (21,)]),
    ]


STRESSES = {
    "four quarters": ("c'8 d' e' f' g' a' b' c''", [2, 0, 1, 0, 1, 0, 1, 0]),
    "six eighths have two beats": ("\\time 6/8 c'8 d' e' f' g' a' c''2.", [2, 0, 0, 1, 0, 0, 2]),
    "three eighths have three": ("\\time 3/8 c'8 d' e' f'4.", [2, 1, 1, 2]),
    "an upbeat": ("\\partial 4 c'8 d' e'1 f'", [1, 0, 2, 2]),
    "a grace note has none": ("\\grace c'8 d'1", [0, 2]),
}


@pytest.mark.parametrize("name", STRESSES)
def test_stress(name: str) -> None:
    music, wanted = STRESSES[name]
    assert [onset.stress for onset in right(music).passage.onsets] == wanted


MARKS = {
    "accent": ("c'4-> d'2.", "accent"),
    "marcato": ("c'4-^ d'2.", "accent"),
    "a slur begins": ("c'4( d'2.)", "slur_start"),
    "a harmonic": ("c'4\\flageolet d'2.", "thumb_only"),
    "rolled": ("<c' e'>4\\arpeggio d'2.", "rolled"),
    "a glissando begins": ("c'4\\glissando c''2.", "glissando"),
    "a trill": ("c'4\\trill d'2.", "trill"),
}


@pytest.mark.parametrize("name", MARKS)
def test_marks(name: str) -> None:
    music, field = MARKS[name]
    fields = ("accent", "slur_start", "thumb_only", "rolled", "glissando", "trill")
    first, second = right(music).passage.onsets
    assert [one for one in fields if getattr(first, one)] == [field]
    assert not any(getattr(second, one) for one in fields)


LOCKS: dict[str, tuple[str, list[tuple[int | None, ...]]]] = {
    "one digit": ("c'4-3 d'-1 e' f'^2", [(3,), (1,), (None,), (2,)]),
    "in a chord": ("<c'-4 e' g'-1>1", [(4, None, 1)]),
    "several: the first that names a finger": ("c'4-5-2 d'-1-2 e'2", [(2,), (1,), (None,)]),
    "none that names a finger": ("c'4-5 d'2.", [(None,), (None,)]),
    "on one of two voices": ("<< { g'1-1 } \\\\ { <c' g'>1 } >>", [(None, 1)]),
}


@pytest.mark.parametrize("name", LOCKS)
def test_locks(name: str) -> None:
    music, wanted = LOCKS[name]
    assert [onset.locks for onset in right(music).passage.onsets] == wanted


def test_a_note_that_sounds_twice_has_one_key() -> None:
    text = "tune = { c'4 d' } \\score { \\new PianoStaff << \\new Staff { \\tune e'4 \\tune } \\new Staff { c1 } >> }"
    onsets = planned(text).passages[0].passage.onsets
    assert [onset.keys for onset in onsets] == [(0,), (1,), (2,), (0,), (1,)]


def test_keys_are_the_same_in_both_hands_and_in_every_score() -> None:
    both = "\\new PianoStaff << \\new Staff \\tune \\new Staff \\tune >>"
    found = planned(f"tune = {{ c'4 d' }} \\score {{ {both} }} \\score {{ {both} }}").passages
    assert [part.hand for part in found] == [Hand.RIGHT, Hand.LEFT] * 2
    assert {tuple(onset.keys for onset in part.passage.onsets) for part in found} == {((0,), (1,))}


def test_two_voices_on_one_string_share_a_key_wherever_they_sound() -> None:
    tune = "tune = { g'1 } other = { g'1 }"
    part = planned(tune + piano("\\tune << \\tune \\\\ \\other >> \\other")).passages[0]
    assert [onset.keys for onset in part.passage.onsets] == [(0,), (0,), (0,)]
    assert [len(indices) for onset in part.notes for indices in onset] == [1, 2, 1]


def test_a_q_has_a_key_of_its_own() -> None:
    first, again = right("<c' e'>2 q").passage.onsets
    assert not set(first.keys) & set(again.keys)


def test_a_lock_holds_for_every_note_with_its_key() -> None:
    tune = "tune = { g'1-2 } other = { g'1 }"
    text = tune + piano("<< \\tune \\\\ \\other >> \\other")
    assert [onset.locks for onset in planned(text).passages[0].passage.onsets] == [(2,), (2,)]


def test_two_digits_on_one_string_are_reported() -> None:
    text = "\\score { \\new PianoStaff << \\new Staff { << { g'1-2 } \\\\ { g'1-3 } >> } \\new Staff { c1 } >> }"
    found = planned(text)
    assert [message.rule for message in found.messages] == ["locked-digits-differ"]
    assert found.passages[0].passage.onsets[0].locks == (2,)


def test_bare_variables_are_passages_of_their_own() -> None:
    found = planned("rightA = { c'1 } rightB = { d'1 } leftA = { c1 } noise = { e'1 }").passages
    assert [(part.hand, strings(part)) for part in found] == [
        (Hand.RIGHT, [(28,)]),
        (Hand.RIGHT, [(29,)]),
        (Hand.LEFT, [(21,)]),
    ]


def test_orders_are_places_in_the_source() -> None:
    part = right("<g' c'>2 << { e'4 f' } \\\\ { c'2 } >>")
    assert part.passage.onsets[0].orders == (1, 0)
    assert part.first(0).pitch.name == "G4"


def test_a_whole_passage() -> None:
    part = right("c'4-1 <e' g'>4")
    assert part.passage.onsets == (
        Onset((28,), (0,), (1,), (0,), stress=2),
        Onset((30, 32), (1, 2), (None, None), (1, 2), stress=1),
    )
    assert part.passage.steps == (Step(0, 1, 500),)
    assert part.score.notes[part.notes[1][1][0]].moment == F(1, 4)
