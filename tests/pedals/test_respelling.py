"""Respellings: everything sounds as before, only the chosen notes are written on the neighbouring string.

Twins: [P] Sibelius Academy, *Harp Notation*. The music is invented.
"""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from lyfinger.hands.assign import assign
from lyfinger.harp.profile import PEDAL
from lyfinger.pedals.plan import plan_pedals
from lyfinger.pedals.players import courses
from lyfinger.pedals.respelling import Proposal, count_troubles, propose, replanner
from lyfinger.pedals.rewriting import rewrite, written
from lyfinger.reading.reader import read
from lyfinger.score.model import Note, Reading
from lyfinger.score.pitch import Pitch, semitones, twin
from lyfinger.score.tempo import pace
from lyfinger.source.library import Library
from lyfinger.source.messages import Refused

from .music import PLAIN, staves


def proposal_for(source: str) -> tuple[Reading, Library, Proposal]:
    library = Library()
    reading = read(library.stdin(source.encode(), "test.ly"), library)
    score = reading.scores[0]
    course = courses(score, assign(score, {}), pace(score), PEDAL, PLAIN)[0]
    found = propose(
        plan_pedals(course, PLAIN),
        replanner(course, PEDAL, PLAIN),
        lambda note: written(note, score.languages) is not None,
    )
    return reading, library, found


def respelled(source: str) -> str:
    reading, library, found = proposal_for(source)
    data = rewrite([reading], library, found.pitches)
    return data[reading.root].decode() if data else source


def sounds(source: str) -> list[tuple[Fraction, Fraction]]:
    library = Library()
    notes = read(library.stdin(source.encode(), "test.ly"), library).scores[0].notes
    ordered = sorted(notes, key=lambda note: note.order)
    return [(note.moment, semitones(note.pitch.octave, note.pitch.step, note.pitch.alter)) for note in ordered]


def troubles_of(source: str) -> int:
    library = Library()
    score = read(library.stdin(source.encode(), "test.ly"), library).scores[0]
    return count_troubles(plan_pedals(courses(score, assign(score, {}), pace(score), PEDAL, PLAIN)[0], PLAIN))


CASES = [
    # what is written, what is proposed instead, and what is nasty about it
    (staves("r2 cis''2", "c1"), "r2 des''2", "absolute"),
    (staves("\\relative c'' { r2 cis2 e1 }", "c1 c"), "r2 des2 e1", "relative, the next note stays"),
    (staves("\\relative c'' { r2 cis2 fis g }", "c1 c"), "r2 des2 fis g", "a fourth becomes a third"),
    (staves("\\relative c' { r2 cis2 g' a }", "c1 c"), "r2 des2 g a", "the next note loses its mark"),
    (staves("r2 bis'2", "b1"), "r2 c''2", "over the octave: B♯4 is C5"),
    (staves("r2 ces''2", "c1"), "r2 b'2", "over the octave, down"),
    (staves("r2 <e' cis''>2", "c1"), "<e' des''>2", "in a chord"),
    (
        staves("\\relative c' { r2 <cis g' b>2 c'1 }", "c1 r"),
        "<des g b>2 c'1",
        "first in a chord of a relative passage",
    ),
    (staves("r2 cis''!4-1 r", "c1"), "des''!4-1", "with a reminder and a digit"),
    (staves("r2 cis''2~ cis''1", "c1 r"), "des''2~ des''1", "tied"),
    ('\\language "english" ' + staves("r2 cs''2", "c1"), "r2 df''2", "English"),
    ('\\language "english" ' + staves("r2 c-sharp''2 b-flat'1", "c1 r"), "r2 d-flat''2", "English in full"),
    ('\\language "deutsch" ' + staves("r2 ais'2", "a1"), "r2 b'2", "German: B is flat"),
    ('\\language "italiano" ' + staves("r2 dod''2", "do1"), "r2 reb''2", "Italian"),
    (staves("a'4 as' r2 es''1", "a1 r"), "gis'", "as the file writes it: es and as, but gis"),
    (staves("\\repeat volta 2 { r2 cis''2 }", "c1"), "r2 des''2", "in a repeat"),
    ("x = { r2 cis''2 } " + staves("\\x \\x", "c1 c1"), "x = { r2 des''2 }", "in a variable that is used twice"),
]


@pytest.mark.parametrize(("source", "wanted", "why"), CASES)
def test_proposals(source: str, wanted: str, why: str) -> None:
    result = respelled(source)
    assert wanted in result, why
    assert sounds(result) == sounds(source)
    assert troubles_of(source) > troubles_of(result) == 0


@pytest.mark.parametrize("source", [staves("r2 cis''2", "c2 r"), staves("r2 gis''2", "r1"), staves("g''2 a''", "d1")])
def test_where_a_plan_exists_nothing_is_respelled(source: str) -> None:
    assert not proposal_for(source)[2].pitches


def test_two_notes_without_twins_stay() -> None:
    """D♯ has E♭, but the neighbour is in use too; D has none."""
    _, _, found = proposal_for(staves("r2 <dis'' e''>2", "d1"))
    assert (found.before, found.after, dict(found.pitches)) == (1, 1, {})


@pytest.mark.parametrize(
    "source",
    [staves("\\transpose c d { r2 b'2 }", "c1"), staves("\\relative c'' { r2 cis=''2 }", "c1")],
    ids=["transposed", "octave check"],
)
def test_notes_that_can_not_be_written_anew_are_left(source: str) -> None:
    _, _, found = proposal_for(source)
    assert all(pitch.step != 1 for pitch in found.pitches.values())


def test_a_repeated_chord_is_not_torn_from_its_chord() -> None:
    reading, library, found = proposal_for(staves("<e' g'>4 r <cis' e'>4 q", "c1"))
    data = rewrite([reading], library, found.pitches)
    assert b"<des' e'>4 q" in data[reading.root]


def random_notes(seed: int) -> tuple[str, int]:
    dice = random.Random(seed)
    names = ["c", "cis", "ces", "d", "dis", "des", "e", "eis", "es", "f", "fis", "fes", "g", "gis", "ges", "a", "ais"]
    names += ["as", "b", "bis", "bes"]

    def note() -> str:
        return dice.choice(names) + dice.choice(["", "", "'", ","])

    def event() -> str:
        kind = dice.random()
        if kind < 0.2:
            return f"<{note()} {note()}>4"
        if kind < 0.25:
            return "r4"
        return note() + dice.choice(("4", "8-2", "4."))

    body = " ".join(event() for _ in range(12))
    return (f"\\relative c'' {{ {body} }}" if dice.random() < 0.7 else f"{{ {body} }}"), dice.randrange(1, 4)


@pytest.mark.parametrize("seed", range(40))
def test_any_notes_can_be_respelled(seed: int) -> None:
    """Random notes of random music, absolute and relative, with chords: read again, all sounds as before, and just
    the chosen notes are spelled otherwise."""
    source, count = random_notes(seed)
    library = Library()
    reading = read(library.stdin(source.encode(), "test.ly"), library)
    notes = [note for note in reading.scores[0].notes if twin(note.pitch)]
    chosen = random.Random(seed).sample(notes, min(count, len(notes)))
    pitches = {note.source: other for note in chosen if (other := twin(note.pitch))}
    data = rewrite([reading], library, pitches)
    result = data[reading.root].decode()
    assert sounds(result) == sounds(source)
    again = Library()
    now = read(again.stdin(result.encode(), "test.ly"), again).scores[0].notes
    found: list[tuple[Note, Pitch]] = list(zip(reading.scores[0].notes, (note.pitch for note in now), strict=True))
    assert all(pitch == pitches.get(note.source, note.pitch) for note, pitch in found)


def test_what_can_not_be_written_is_refused() -> None:
    """A variable in two relative passages: after g its D♭ needs another octave mark than after a."""
    source = "x = { cis4 } \\new Staff { \\relative c'' { g \\x } \\relative c'' { a \\x } }"
    library = Library()
    reading = read(library.stdin(source.encode(), "test.ly"), library)
    note = next(note for note in reading.scores[0].notes if note.pitch.name.startswith("C♯"))
    with pytest.raises(Refused, match="nothing is proposed"):
        rewrite([reading], library, {note.source: Pitch(note.pitch.octave, 1, Fraction(-1))})
