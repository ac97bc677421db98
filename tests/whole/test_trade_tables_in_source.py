r"""The tables of the trade as an engraver writes them: LilyPond in, digits out, in either hand.

The rows are those of ``tests.fingering.trade_tables``, with a few that only source can say. Music is written in
``\fixed``, without octave marks around middle C; the left hand has it an octave lower in the bass staff. Digits are in
the order of the source, so a chord from the bottom up. Beside each row stand its status and source: [P] published, [T]
common practice of the trade without a source, [M] from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from lyfinger.score.pitch import string_name

from ..fingering.trade_tables import (
    CHORDS,
    CONTEXT,
    DRILLS,
    EXAMPLES,
    INTERVALS,
    LEARNING,
    OCTAVES,
    RUNS,
    SIMPLE,
    TRADE,
    TRIADS,
    Row,
    Run,
)
from .command import lyfinger, marked
from .insertions import inserted

KEYS = "[P] blogarpa on a study of N.-C. Bochsa: the fingering does not depend on the key"

SCORE = r"""\version "2.24.0"
\new PianoStaff <<
  \new Staff { \clef treble %s }
  \new Staff { \clef bass %s }
>>
"""
MIDDLE_C = 28
SIDE = {"R": b"^", "L": b"_"}


def source_for(hand: str, music: str, tempo: int) -> str:
    own = rf"\tempo 4 = {tempo} \fixed {'c' + chr(39) if hand == 'R' else 'c'} {{ {music} }}"
    return SCORE % ((own, "s1") if hand == "R" else ("s1", own))


def digits(hand: str, music: str, tempo: int = 90, *options: str) -> str:
    """The digits that are put in, which must be on the hand's own side; those of a chord from the lowest string.

    Behind a chord below its heads the digit of the highest string comes first, nearest the heads.
    """
    source = source_for(hand, music, tempo)
    places: dict[int, list[bytes]] = {}
    for at, digit in inserted(source.encode(), marked(source, *options)):
        places.setdefault(at, []).append(digit)
    found = [digit for own in places.values() for digit in own[:: 1 if hand == "R" else -1]]
    assert {digit[:1] for digit in found} <= {SIDE[hand]}
    return b" ".join(digit[1:] for digit in found).decode()


def written(notes: str) -> str:
    """Onsets (``C4``, ``C4-E4-G4``) as ``\\fixed c'`` has them: chords are quarters, notes eighths."""
    return " ".join(_chord(word) if "-" in word else f"{_name(word)}8" for word in notes.split())


def _chord(word: str) -> str:
    return f"<{' '.join(map(_name, word.split('-')))}>4"


def _name(note: str) -> str:
    octave = int(note[1:]) - 4
    return note[0].lower() + ("'" * octave if octave > 0 else "," * -octave)


def _intervals() -> Iterator[Row]:
    for one in INTERVALS:
        high = string_name(MIDDLE_C + one.strings - 1)
        yield Row(f"C4-{high}", one.fingers, one.source)
        yield Row(f"C4 {high}", one.fingers, one.source)
        yield Row(f"{high} C4", one.fingers[::-1], one.source)


def _octaves() -> Iterator[Row]:
    for one in OCTAVES:
        names = map(string_name, (MIDDLE_C, MIDDLE_C + one.lower, MIDDLE_C + one.lower + one.upper))
        yield Row("-".join(names), one.fingers, one.source)


ROWS = [*_intervals(), *CONTEXT, *CHORDS, *TRIADS, *_octaves(), *EXAMPLES]


@pytest.mark.parametrize("tempo", [60, 120, 200])
@pytest.mark.parametrize(("hand", "row"), [(hand, row) for row in ROWS for hand in row.hands])
def test_rows(hand: str, row: Row, tempo: int) -> None:
    assert digits(hand, written(row.notes), tempo) == row.fingers.replace("-", " "), row.source


#: Strings, never semitones: C–F, C–F♯ and C♭–F are all fourths.
ALTERED = [
    ("<c fis>2", "2 1", f"derived; {LEARNING}"),
    ("<ces f>2", "2 1", f"derived; {LEARNING}"),
    ("<c gis>2", "3 1", f"derived; {LEARNING}"),
    ("<bis, ges>2", "3 1", f"derived; {LEARNING}"),
]


@pytest.mark.parametrize("hand", "RL")
@pytest.mark.parametrize(("music", "fingers", "source"), ALTERED)
def test_an_alteration_changes_no_digit(hand: str, music: str, fingers: str, source: str) -> None:
    assert digits(hand, music) == fingers, source


@pytest.mark.parametrize("hand", "RL")
@pytest.mark.parametrize("row", RUNS)
def test_runs(hand: str, row: Run) -> None:
    assert digits(hand, written(row.notes), 120) in {answer.replace(" |", "") for answer in row.answers}, row.source


@pytest.mark.parametrize("hand", "RL")
@pytest.mark.parametrize("key", ["c \\major", "ces \\major", "cis \\major", "ees \\major", "a \\minor"])
def test_the_key_changes_no_digit(hand: str, key: str) -> None:
    scale = {"ces \\major": "es", "cis \\major": "is"}.get(key, "")
    flats = {"ees \\major": {"b": "bes", "e": "ees", "a": "aes"}}.get(key, {})
    names = [
        flats.get(letter, letter + (scale if key in ("ces \\major", "cis \\major") else "")) for letter in "cdefgab"
    ]
    music = " ".join([f"\\key {key} {names[0]}8", *names[1:], f"{names[0]}'"])
    assert digits(hand, music) == "4 3 2 1 4 3 2 1", KEYS


HANDS = [
    ("small", "<c f>2", "3 1", f"{TRADE}: small hand, wide spacing: a 4th may go 3-1"),
    ("small", "<c a>2", "4 1", f"{TRADE}: small hand, wide spacing: a 6th may go 4-1"),
    ("small", "<c f a>2", "4 2 1", f"{TRADE}: small hand: a sixth whose lower gap is a 4th goes 4 2 1"),
    ("medium", "<c f a>2", "3 2 1", SIMPLE),
    ("medium", "<c f>2", "2 1", LEARNING),
    ("large", "<c g>2", "2 1", f"{TRADE}: large hand: a 5th may go 2-1"),
    ("large", "<c e g>2", "3 2 1", SIMPLE),
]


@pytest.mark.parametrize(("size", "music", "fingers", "source"), HANDS)
def test_the_size_of_the_hand(size: str, music: str, fingers: str, source: str) -> None:
    assert digits("R", music, 90, "--hand", size) == fingers, source


@pytest.mark.parametrize("row", DRILLS)
def test_locked_drills_are_kept_and_raise_no_finding(row: Row) -> None:
    given = zip(written(row.notes).split(), row.fingers.split(), strict=True)
    text = source_for("L", " ".join(f"{note}_{finger}" for note, finger in given), 90)
    assert marked(text) == text.encode(), row.source
    checked = lyfinger("check", "-", "--fail-on", "warning", stdin=text.encode())
    assert (checked.status, checked.out, checked.err) == (0, b"", ""), row.source


FLAGGED = [
    ("R", "<c d e f g>2", r"\bfive|\b5|more than four", "[P] N. Rimsky-Korsakov: a fifth note in one hand"),
    ("R", "c4-5 d", r"\b5\b", "[P] E. Volpé Bligh: digit 5"),
    ("R", "<c cis>4 d", r"[Cc]\b", "[P] E. Volpé Bligh: C with C sharp at once"),
]


@pytest.mark.parametrize(("hand", "music", "says", "source"), FLAGGED)
def test_must_be_flagged(hand: str, music: str, says: str, source: str) -> None:
    """What falls out of reading and solving; a busy left hand, so that nobody can help."""
    text = source_for(hand, music, 90).replace("s1", "<c e g c'>1")
    checked = lyfinger("check", "-", stdin=text.encode())
    assert checked.status == 1, source
    assert re.search(says, checked.out.decode()), checked.out
