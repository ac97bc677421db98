r"""Nothing is shifted in silence: behind a construct that is not understood, a note is read right or not at all.

Each music is read twice: with a construct of which the typesetter knows more than lyfinger, and with what the
typesetter makes of it. Every note that is read in the first must be in the second, at the same pitch and moment.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.referee.events import played

from .heard import heard, reading_of, told

#: Source with the construct, what the typesetter makes of it, and notes that must be read all the same.
PAIRS = {
    "an unknown function with a note": (
        "fun = #(define-music-function (m) (ly:music?) #{ $m $m #})\n\\relative c' { c4 \\fun d g }",
        "\\relative c' { c4 d d g }",
        "c4@0",
    ),
    "it doubles the time": (
        "fun = #(define-music-function (m) (ly:music?) #{ \\tuplet 1/2 $m #})\n{ c'4 \\fun { d' e' } f' }",
        "{ c'4 \\tuplet 1/2 { d' e' } f' }",
        "c4@0",
    ),
    "a function with a pitch": (
        "fun = #(define-music-function (p) (ly:pitch?) #{ { $p 8 } #})\n\\relative c' { c4 \\fun g'' d4 }",
        "\\relative c' { c4 { g''8 } d4 }",
        "c4@0",
    ),
    "music made by Scheme": (
        "\\relative c' { c4 #(make-music 'SequentialMusic 'elements '()) d }",
        "\\relative c' { c4 d }",
        "c4@0",
    ),
    "embedded music": ("\\relative c' { c4 $#{ g''8 #} d }", "\\relative c' { c4 g''8 d }", "c4@0"),
    "a Scheme variable with music": (
        "#(define m #{ g''8 #})\n\\relative c' { c4 $m d4 }",
        "\\relative c' { c4 g''8 d4 }",
        "c4@0",
    ),
    "in one of two staves": (
        "fun = #(define-music-function () () #{ s8 #})\n<< \\new Staff { c'4 \\fun d' } \\new Staff { e'4 f' } >>",
        "<< \\new Staff { c'4 s8 d' } \\new Staff { e'4 f' } >>",
        "c4@0 e4@0 f4@1/4",
    ),
    "in a voice under relative": (
        "fun = #(define-music-function () () #{ g''4 #})\n\\relative c' { << { c4 \\fun } \\\\ { e4 d } >> c4 }",
        "\\relative c' { << { c4 g''4 } \\\\ { e4 d } >> c4 }",
        "c4@0",
    ),
    "in a variable that is used twice": (
        "fun = #(define-music-function () () #{ s8 #})\nv = { c'4 \\fun d'4 }\n{ e'4 \\v f' } { g'4 }",
        "v = { c'4 s8 d'4 }\n{ e'4 \\v f' } { g'4 }",
        "e4@0 g4@0",
    ),
    "behind it the octave is said anew": (
        "fun = #(define-music-function () () #{ s8 #})\n{ \\relative c' { c4 \\fun d } } \\relative c'' { e4 f }",
        "{ \\relative c' { c4 s8 d } } \\relative c'' { e4 f }",
        "c4@0 e5@0 f5@1/4",
    ),
    "in the first of two scores": (
        "fun = #(define-music-function () () #{ s8 #})\n\\score { { c'4 \\fun d' } } \\score { { e'4 f' } }",
        "\\score { { c'4 s8 d' } } \\score { { e'4 f' } }",
        "c4@0 e4@0 f4@1/4",
    ),
    "a repeat of it": (
        "fun = #(define-music-function () () #{ s8 #})\n{ c'4 \\repeat unfold 2 { d'4 \\fun e'4 } f' }",
        "{ c'4 \\repeat unfold 2 { d'4 s8 e'4 } f' }",
        "c4@0",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("opaque", "plain", "sure"), PAIRS.values(), ids=list(PAIRS))
def test_what_is_read_is_right(opaque: str, plain: str, sure: str) -> None:
    read, right = heard(reading_of(opaque)).split(), heard(reading_of(plain)).split()
    assert told(reading_of(plain)) == []
    left = list(right)
    for note in read:
        assert note in left, f"{note} is not there: {right}"
        left.remove(note)
    for note in sure.split():
        assert note in read


@pytest.mark.parametrize(("opaque", "plain", "sure"), PAIRS.values(), ids=list(PAIRS))
def test_what_is_left_out_is_told(opaque: str, plain: str, sure: str) -> None:
    if len(heard(reading_of(opaque)).split()) < len(heard(reading_of(plain)).split()):
        assert told(reading_of(opaque)) != []


@pytest.mark.parametrize(("opaque", "plain", "sure"), PAIRS.values(), ids=list(PAIRS))
def test_the_typesetter_makes_the_same_of_both(opaque: str, plain: str, sure: str, tmp_path: Path) -> None:
    """And what is read of the plain one is what it prints."""
    printed = []
    for name, source in (("opaque", opaque), ("plain", plain)):
        path = tmp_path / f"{name}.ly"
        path.write_text(f'\\version "2.24.0"\n{source}\n')
        notes = [note for score in played(path) for note in score.notes]
        printed.append(sorted((note.moment, note.octave, note.step) for note in notes))
    read = [note for score in reading_of(plain).scores for note in score.notes]
    assert printed[0] == printed[1] == sorted((note.moment, note.pitch.octave, note.pitch.step) for note in read)
