r"""The tables of the trade as an engraver writes them: LilyPond in, digits out, in either hand.

Music is written in ``\fixed``, without octave marks around middle C; the left hand has it an octave lower in the
bass staff. Digits are in the order of the source, so a chord from the bottom up. Beside each row stand its status
and source: [P] published, [T] common practice of the trade without a source, [M] from memory.
"""

from __future__ import annotations

import re

import pytest

from .command import lyfinger, marked
from .insertions import inserted

LEARNING = "[T]; [P] Learning the Harp, 10 Rules of Harp Fingering"
SIMPLE = "[P] Simple Harp, Accords sur 3 doigts"
HALL = "[P] D. Hall, The Complete Chromatic Harp"
BALLARD = "[P] S. Ballard; blogarpa on a study of N.-C. Bochsa"
VRUK = "[P] Telenn Vruk, lesson 15"
LEGACY = "[T]; [P] The Harp Legacy Project, Typical Compositional Issues"
TRADE = "[T] common practice, no source"
FIGURE = "[T]/[M] figures that turn inside one placed shape"
KEYS = "[P] blogarpa on a study of N.-C. Bochsa: the fingering does not depend on the key"

SCORE = r"""\version "2.24.0"
\new PianoStaff <<
  \new Staff { \clef treble %s }
  \new Staff { \clef bass %s }
>>
"""
SIDE = {"R": b"^", "L": b"_"}


def source_for(hand: str, music: str, tempo: int) -> str:
    own = rf"\tempo 4 = {tempo} \fixed {'c' + chr(39) if hand == 'R' else 'c'} {{ {music} }}"
    return SCORE % ((own, "s1") if hand == "R" else ("s1", own))


def digits(hand: str, music: str, tempo: int = 90, *options: str) -> str:
    """The digits that are put in, which must be on the hand's own side."""
    source = source_for(hand, music, tempo)
    found = [digit for _, digit in inserted(source.encode(), marked(source, *options))]
    assert {digit[:1] for digit in found} <= {SIDE[hand]}
    return b" ".join(digit[1:] for digit in found).decode()


ROWS = [
    # §2: together, and one after the other
    *((hands, music, fingers, LEARNING) for hands, music, fingers in (
        ("RL", "<c d>2", "2 1"), ("RL", "<c e>2", "2 1"), ("RL", "<c f>2", "2 1"),
        ("RL", "<c g>2", "3 1"), ("RL", "<c a>2", "3 1"),
        ("RL", "<c b>2", "4 1"),
        ("RL", "<c c'>2", "4 1"), ("RL", "<c d'>2", "4 1"), ("RL", "<c e'>2", "4 1"),
        ("RL", "c8 d", "2 1"), ("RL", "c8 e", "2 1"), ("RL", "c8 f", "2 1"),
        ("RL", "c8 g", "3 1"), ("RL", "c8 a", "3 1"),
        ("RL", "c8 b", "4 1"),
        ("RL", "c8 c'", "4 1"), ("RL", "c8 d'", "4 1"), ("RL", "c8 e'", "4 1"),
        ("RL", "d8 c", "1 2"), ("RL", "e8 c", "1 2"), ("RL", "f8 c", "1 2"),
        ("RL", "g8 c", "1 3"), ("RL", "a8 c", "1 3"),
        ("RL", "b8 c", "1 4"),
        ("RL", "c'8 c", "1 4"), ("RL", "d'8 c", "1 4"), ("RL", "e'8 c", "1 4"),
    )),
    # §1: strings, never semitones: C-F, C-F sharp and C flat-F are all fourths
    ("RL", "<c fis>2", "2 1", f"derived; {LEARNING}"),
    ("RL", "<ces f>2", "2 1", f"derived; {LEARNING}"),
    ("RL", "<c gis>2", "3 1", f"derived; {LEARNING}"),
    ("RL", "<bis, ges>2", "3 1", f"derived; {LEARNING}"),
    # §2: the neighbours' shape
    ("RL", "<c f>4 <d g> <e b> <f b> <g c'>", "2 1 2 1 2 1 2 1 2 1", f"{TRADE}: a 5th among 4ths stays 2-1"),
    ("RL", "<c a>4 <d b> <e d'> <f d'> <g e'>", "3 1 3 1 3 1 3 1 3 1", f"{TRADE}: a 7th takes the 6ths' fingers"),
    ("RL", "<c c'>4 <d d'> <e d'> <f f'>", "4 1 4 1 4 1 4 1", f"{TRADE}: a 7th takes the octaves' fingers"),
    ("RL", "<c e>4 <c f> <c g> <c a> <c c'>", "2 1 2 1 3 1 3 1 4 1", LEARNING),
    # §3: four notes, three within a sixth, three in an octave, three in a seventh
    ("RL", "<c e g c'>2", "4 3 2 1", f"{TRADE}: no choice"),
    ("RL", "<c f a c'>2", "4 3 2 1", f"{TRADE}: no choice"),
    ("RL", "<c d f g>2", "4 3 2 1", f"{TRADE}: no choice"),
    *(("RL", chord, "3 2 1", SIMPLE) for chord in (
        "<c e g>2", "<e g c'>2", "<g, c e>2",
        "<f a c'>2", "<a, c f>2", "<c f a>2",
        "<g b d'>2", "<b, d g>2", "<d g b>2",
        "<d f a>2", "<f a d'>2", "<a, d f>2",
        "<e g b>2", "<g b e'>2", "<b, e g>2",
        "<a, c e>2", "<c e a>2", "<e a c'>2",
    )),
    ("RL", "<c d e>2", "3 2 1", f"{TRADE}: three notes within a sixth"),
    ("RL", "<c g c'>2", "4 2 1", f"{TRADE}: 4th or less below the thumb: 2"),
    ("RL", "<c a c'>2", "4 2 1", f"{TRADE}: 4th or less below the thumb: 2"),
    ("RL", "<c f c'>2", "4 2 1", f"{TRADE}: a 5th below the thumb and a 4th above the bottom takes 2"),
    ("RL", "<c e c'>2", "4 3 1", f"{TRADE}: with a 3rd below it, 3 is fine"),
    ("RL", "<c d c'>2", "4 3 1", f"{TRADE}: a 7th below the thumb"),
    ("RL", "<c f d'>2", "4 2 1", f"{TRADE}: even a 6th below the thumb takes 2 when a 4th lies under it"),
    ("RL", "<c e d'>2", "4 3 1", LEGACY),
    ("RL", "<e g d'>2", "3 2 1", f"{TRADE}: a three-note seventh has the better control with 3 2 1"),
    ("RL", "<c e c'>4 <d f d'> <e g d'> <f a f'>", "4 3 1 4 3 1 4 3 1 4 3 1", f"{TRADE}: among octaves 4 3 1"),
    # §4: the vocabulary, and figures inside one shape
    ("RL", "c8 e g c' g e", "4 3 2 1 2 3", FIGURE),
    ("RL", "c8 g e g", "3 1 2 1", FIGURE),
    ("RL", "c8 g c' g", "4 2 1 2", FIGURE),
    ("RL", "e16 d e d e d e d", "1 2 1 2 1 2 1 2", f"{TRADE}: a wave on two neighbouring strings"),
    ("RL", "d16 e d e d e d e", "2 1 2 1 2 1 2 1", f"{TRADE}: a trill, written out"),
    # §5: published worked examples
    ("R", "<c e>4 <d f>", "2 1 2 1", HALL),
    ("RL", "c8 b, a,", "1 2 3", HALL),
    ("RL", "c8 d e f g a", "3 2 1 3 2 1", HALL),
    ("RL", "a8 g f e d c", "1 2 3 1 2 3", HALL),
    ("L", "<c e'>1", "4 1", "[P] Learning the Harp; A. Sullivan: a tenth"),
    ("RL", "c8 d e f g a b c'", "4 3 2 1 4 3 2 1", BALLARD),
    ("RL", "c'8 b a g f e d c", "1 2 3 4 1 2 3 4", BALLARD),
]  # fmt: skip


@pytest.mark.parametrize("tempo", [60, 120, 200])
@pytest.mark.parametrize(("hand", "music", "fingers", "source"), [(h, *row) for hs, *row in ROWS for h in hs])
def test_rows(hand: str, music: str, fingers: str, source: str, tempo: int) -> None:
    assert digits(hand, music, tempo) == fingers, source


VOCABULARY = [
    ("c8 d e f g a b", {"4 3 2 1 3 2 1", "3 2 1 4 3 2 1"}, "[M] 7 notes 4321 321 or 321 4321"),
    ("b8 a g f e d c", {"1 2 3 4 1 2 3", "1 2 3 1 2 3 4"}, "[M] 7 notes, down"),
    ("c8 d e f g", {"4 4 3 2 1", "4 3 2 1 1"}, "[P] E. Volpé Bligh: a slide, or a hop when it is not fast"),
    ("g8 f e d c", {"1 1 2 3 4", "1 2 3 4 4"}, "[P] E. Volpé Bligh: a slide, or a hop when it is not fast"),
    (
        "c16 d e f g a b c' d' e' f' g' a' b' c''",
        {
            "3 2 1 4 3 2 1 4 3 2 1 4 3 2 1",
            "4 3 2 1 3 2 1 4 3 2 1 4 3 2 1",
            "4 3 2 1 4 3 2 1 3 2 1 4 3 2 1",
            "4 3 2 1 4 3 2 1 4 3 2 1 3 2 1",
        },
        "[M] 15 notes 321 and three times 4321 in some order",
    ),
]


@pytest.mark.parametrize("hand", "RL")
@pytest.mark.parametrize(("music", "answers", "source"), VOCABULARY)
def test_vocabulary_of_runs(hand: str, music: str, answers: set[str], source: str) -> None:
    assert digits(hand, music, 120) in answers, source


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


DRILLS = [
    ("e4_1 d_2 c_1 b,_2 a,_3", f"{VRUK}: turning over 2"),
    ("e4_1 d_2 c_3 b,_1", f"{VRUK}: turning over 3"),
    ("f4_1 e_2 d_3 c_4 b,_1", f"{VRUK}: turning over 4"),
]


@pytest.mark.parametrize(("music", "source"), DRILLS)
def test_locked_drills_are_kept_and_raise_no_finding(music: str, source: str) -> None:
    text = source_for("L", music, 90)
    assert marked(text) == text.encode(), source
    checked = lyfinger("check", "-", "--fail-on", "warning", stdin=text.encode())
    assert (checked.status, checked.out, checked.err) == (0, b"", ""), source


FLAGGED = [
    ("R", "<c d e f g>2", r"\bfive|\b5|more than four", "[P] N. Rimsky-Korsakov: a fifth note in one hand"),
    ("R", "c4-5 d", r"\b5\b", "[P] E. Volpé Bligh: digit 5"),
    ("R", "<c cis>4 d", r"[Cc]\b", "[P] E. Volpé Bligh: C with C sharp at once"),
]


@pytest.mark.parametrize(("hand", "music", "says", "source"), FLAGGED)
def test_must_be_flagged(hand: str, music: str, says: str, source: str) -> None:
    """Of harp-facts' list, what falls out of reading and solving; a busy left hand, so that nobody can help."""
    text = source_for(hand, music, 90).replace("s1", "<c e g c'>1")
    checked = lyfinger("check", "-", stdin=text.encode())
    assert checked.status == 1, source
    assert re.search(says, checked.out.decode()), checked.out
