"""What differs between two versions of a part. The music is invented."""

from __future__ import annotations

import pytest

from lyfinger.config import Config
from lyfinger.marking.comparing import Change, Difference, differences
from lyfinger.marking.plan import hand_passages, without_digits
from lyfinger.score.spoken import bar_and_beat
from tests.score.sources import reading_of

HANDS = "\\new Staff = RH { %s } \\new Staff = LH { \\clef bass %s }"
SCORE = f'\\version "2.24.0"\n\\score {{ \\new PianoStaff << {HANDS} >> }}\n'
RIGHT = "c'4-4 e'-3 g'-2 c''-1 | d'4 f' a' d'' | <e' g' c''>2-3-2-1 r | g'4-2 a'-1 g'-2 e'-3"
THREES = f"""\\layout {{ \\enablePolymeter }}
<< \\new Staff \\with {{ instrumentName = Flute }} {{ \\time 4/4 c''1 c'' c'' }}
   \\new PianoStaff << {HANDS} >> >>""" % ("\\time 3/4 %s", "\\time 3/4 r2.")
FIGURES = "c'4-4 e'-3 g'-2 | a'-3 f'-4 c''-1"
LEFT = "c1-1 | d2 a, | e4-4 g b e' | c1"


def told(old: str, new: str) -> list[str]:
    passages = [hand_passages(without_digits([reading_of(text)], Config()), Config()) for text in (old, new)]
    return [_told(item) for item in differences(*passages)]


def _told(item: Difference) -> str:
    spot = item.spot
    where = f"{bar_and_beat(spot.score, spot.note)}, {item.hand}, {spot.note.pitch.name}"
    digits = "-".join(spot.digits)
    if item.change is Change.DIGIT:
        assert item.old is not None
        what = f"{'-'.join(item.old.digits)}>{digits}"
    else:
        what = f"{'gone' if item.change is Change.NOTE_GONE else 'new'} {digits}".strip()
    return f"{where}: {what}" + (f" also {spot.again}" if spot.again else "")


def right(old: str, new: str) -> tuple[str, str]:
    return SCORE % (RIGHT, LEFT), SCORE % (RIGHT.replace(old, new, 1), LEFT)


def left(old: str, new: str) -> tuple[str, str]:
    return SCORE % (RIGHT, LEFT), SCORE % (RIGHT, LEFT.replace(old, new, 1))


CHANGES = {
    "nothing": (right("c'", "c'"), []),
    "a digit": (right("e'-3", "e'-2"), ["bar 1, beat 2, right, E4: 3>2"]),
    "a digit more": (right("f'", "f'-3"), ["bar 2, beat 2, right, F4: >3"]),
    "a digit less": (right("g'-2", "g'"), ["bar 1, beat 3, right, G4: 2>"]),
    "a second digit": (right("g'-2", "g'-2-1"), ["bar 1, beat 3, right, G4: 2>2-1"]),
    "the same digit in another spelling": (right("c''-1", "c''\\thumb"), []),
    "digits behind a chord": (
        right(">2-3-2-1", ">2-4-2-1"),
        ["bar 3, beat 1, right, E4: 3>4"],
    ),
    "in a chord": (right("<e' g' c''>2-3-2-1", "<e'-4 g'-2 c''-1>2"), ["bar 3, beat 1, right, E4: 3>4"]),
    "another accidental is the same string": (right("g'-2", "gis'-2"), []),
    "a note": (
        right("e'-3", "f'-3"),
        ["bar 1, beat 2, right, E4: gone 3", "bar 1, beat 2, right, F4: new 3"],
    ),
    "a note less": (right("d''", "r"), ["bar 2, beat 4, right, D5: gone"]),
    "both hands, in order of time": (
        (
            SCORE % (RIGHT, LEFT),
            SCORE % (RIGHT.replace("c'4-4", "c'4-3").replace("f'", "f'-3"), LEFT.replace("c1-1", "c1-2")),
        ),
        ["bar 1, beat 1, right, C4: 4>3", "bar 1, beat 1, left, C3: 1>2", "bar 2, beat 2, right, F4: >3"],
    ),
    "a new bar in between": (
        right("d'4 f'", "e'4-1 r r e'-2 | d'4-1 f'"),
        ["bar 2, beat 1, right, E4: new 1", "bar 2, beat 4, right, E4: new 2", "bar 3, beat 1, right, D4: >1"],
    ),
    "a new bar where the harp counts by itself": (
        (THREES % FIGURES, THREES % f"d'4 b' f' {FIGURES}"),
        ["bar 1, beat 1, right, D4: new", "bar 1, beat 2, right, B4: new", "bar 1, beat 3, right, F4: new"],
    ),
    "the left hand alone": (left("g b", "g-3 b-2"), ["bar 3, beat 2, left, G3: >3", "bar 3, beat 3, left, B3: >2"]),
}


@pytest.mark.parametrize(("versions", "wanted"), CHANGES.values(), ids=list(CHANGES))
def test_changes(versions: tuple[str, str], wanted: list[str]) -> None:
    assert told(*versions) == wanted


def test_backwards_what_came_has_gone() -> None:
    for (old, new), wanted in CHANGES.values():
        turned = {"gone": "new", "new": "gone"}
        back = sorted(told(new, old))
        if any(" new" in line or " gone" in line for line in wanted):
            counted = [sorted(line.split(": ")[1].split()[0] for line in lines) for lines in (back, wanted)]
            assert counted[0] == sorted(turned.get(word, ">".join(reversed(word.split(">")))) for word in counted[1])
        else:
            assert back == sorted(_turned(line) for line in wanted)


def _turned(line: str) -> str:
    where, _, digits = line.partition(": ")
    before, _, after = digits.partition(">")
    return f"{where}: {after}>{before}"


def test_music_that_is_written_once_is_told_once() -> None:
    tune = "tune = { c'4-%s e' g' c'' }\n"
    score = SCORE % ("\\tune d'1 \\tune \\tune", "r1 r r r")
    found = told(tune % 4 + score, tune % 3 + score)
    assert found == ["bar 1, beat 1, right, C4: 4>3 also (3, 4)"]


def test_five_at_once_are_compared_though_no_hand_can_take_them() -> None:
    old = SCORE % ("<c'-4 d' e' f' g'-1>1", "c1")
    assert told(old, old.replace("g'-1", "g'-2")) == ["bar 1, beat 1, right, G4: 1>2"]


def test_movements_are_laid_beside_the_ones_that_they_are_most_like() -> None:
    """A movement that is put before the others takes none of their digits."""
    first, second = SCORE % (RIGHT, LEFT), SCORE % ("g'8-1 a' b' c'' d''2", "g,1-2")
    head = '\\version "2.24.0"\n'
    prelude = SCORE % ("b''1", "r1")
    new = prelude + (first + second.replace("g,1-2", "g,1-3")).replace(head, "")
    assert told(first + second.replace(head, ""), new) == [
        "bar 1, beat 1, right, B5: new",
        "bar 1, beat 1, left, G2: 2>3",
    ]


def test_another_piece_has_nothing_in_common() -> None:
    found = told(SCORE % ("c'4-1 d' e' f'", "r1"), SCORE % ("g''8-3 a'' b''2. ", "r1"))
    assert sorted(line.split(": ")[1].split()[0] for line in found) == ["gone"] * 4 + ["new"] * 3
