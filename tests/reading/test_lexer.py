"""Tokens: nothing is lost between them, and what python-ly's own lexer gets wrong comes out right.

The faults are those measured with python-ly 0.9.10; what is right is what the typesetter 2.25.12 made of them.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from lyfinger.reading.lexer import LexicalError, flat_tokens

from .heard import heard, reading_of, told

PROJECT = Path(__file__).resolve().parents[2]
SOURCES = sorted(
    path
    for folder in ("samples", "tests/fixtures/reading", "tests/fixtures/bytes", "tests/fixtures/whole")
    for path in (PROJECT / folder).rglob("*.*ly")
)


def assert_nothing_lost(text: str) -> None:
    """Every token is the text between its offsets; between tokens there is whitespace, or a byte order mark."""
    at = 0
    for token in flat_tokens(text):
        assert at <= token.start < token.end
        assert text[token.start : token.end] == token.text
        assert not text[at : token.start].replace("\ufeff", "").strip(), text[at : token.start]
        at = token.end
    assert not text[at:].replace("\ufeff", "").strip()


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.name)
def test_round_trip_of_sources(path: Path) -> None:
    assert_nothing_lost(path.read_bytes().decode("utf-8", "surrogateescape"))


PIECES = [
    "c'4", "<e g>8.", "\\\\", "{", "}", "<<", ">>", "%{ a { b %}", "% line } \n",
    '"a \\" } b"', "#(a \"(\" #\\( b)", "\\foo_bar_", "^1",
    "-\\markup", "##t", "$x", "#'(a . b)", "=''", "é", "\t", "\r\n", "ré,", "1/2",
    "*2/3", "~", "\\1", "\\=1", "\\!", "|", "!", "\udcff", "\ufeff",
]  # fmt: skip


@pytest.mark.parametrize("seed", range(200))
def test_round_trip_of_heaps(seed: int) -> None:
    chance = random.Random(seed)
    text = "".join(chance.choice(PIECES) + chance.choice(["", " ", "\n"]) for _ in range(40))
    try:
        for _ in flat_tokens(text):
            pass
    except LexicalError as error:
        text = text[: error.offset].rstrip("#$@")
    assert_nothing_lost(text)


def texts(source: str) -> list[str]:
    return [token.text for token in flat_tokens(source)]


CUT = {
    "strings": (r'"a \" } b" c', [r'"a \" } b"', "c"]),
    "a string over lines": ('"a\n% b" c', ['"a\n% b"', "c"]),
    "a backslash at a string's end": (r'"a\\" c', [r'"a\\"', "c"]),
    "a line comment": ("c % d { \" %{\ne", ["c", '% d { " %{', "e"]),
    "a block comment": ("c %{ d \" %} e", ["c", '%{ d " %}', "e"]),
    "a block comment in a word's way": ("c'%{x%}4", ["c'", "%{x%}", "4"]),
    "no nested block comments": ("%{ a %{ b %} c", ["%{ a %{ b %}", "c"]),
    "a Scheme list": ("#(a (b) c) d", ["#(a (b) c)", "d"]),
    "a Scheme list with a string": ('#(a ")" b) d', ['#(a ")" b)', "d"]),
    "a Scheme character": (r"#(a #\( b) d", [r"#(a #\( b)", "d"]),
    "a Scheme character with a name": (r"#(a #\space #\)) d", [r"#(a #\space #\))", "d"]),
    "a Scheme comment": ("#(a ; ) ( \n b) d", ["#(a ; ) ( \n b)", "d"]),
    "a Scheme block comment": ("#(a #! ) !# b) d", ["#(a #! ) !# b)", "d"]),
    "music in Scheme": ("#(f #{ c d #} e) g", ["#(f #{ c d #} e)", "g"]),
    "music in Scheme in music in Scheme": ("#(f #{ c #(g #{ d ) #}) #} e) g", ["#(f #{ c #(g #{ d ) #}) #} e)", "g"]),
    "music in Scheme by itself": ("##{ c ( d #} g", ["##{ c ( d #}", "g"]),
    "a comment in music in Scheme": ("##{ c % #}\n d #} g", ["##{ c % #}\n d #}", "g"]),
    "Scheme words": ("#red #'blue ##t #-1.5 #'(1 . 2) c", ["#red", "#'blue", "##t", "#-1.5", "#'(1 . 2)", "c"]),
    "a Scheme string": ('#"a b" c', ['#"a b"', "c"]),
    "a Scheme vector": ("##(1 2) c", ["##(1 2)", "c"]),
    "Scheme before a bracket": ("#red}", ["#red", "}"]),
    "spliced Scheme": ("$@(list a b) #@(c) d", ["$@(list a b)", "#@(c)", "d"]),
    "a command and a direction": (r"\arpeggio_1", [r"\arpeggio", "_", "1"]),
    "a command, a direction, a command": (r"\trill_\markup", [r"\trill", "_", r"\markup"]),
    "a command with both signs": (r"\foo-bar_baz_2", [r"\foo-bar_baz", "_", "2"]),
    "a quoted command": (r'\"foo 1" c', [r'\"foo 1"', "c"]),
    "chord brackets": ("<<c>> <d>", ["<<", "c", ">>", "<", "d", ">"]),
    "hairpins are no brackets": (r"c\< d\> e\!", ["c", r"\<", "d", r"\>", "e", r"\!"]),
    "script signs are no brackets": ("c-> <d-.>", ["c", "->", "<", "d", "-.", ">"]),
    "a fraction": ("3/2 c2*1/3", ["3/2", "c", "2", "*", "1/3"]),
}  # fmt: skip


@pytest.mark.parametrize(("source", "expected"), CUT.values(), ids=list(CUT))
def test_where_tokens_end(source: str, expected: list[str]) -> None:
    assert texts(source) == expected
    assert_nothing_lost(source)


@pytest.mark.parametrize(
    ("source", "offset"),
    [("c %{ d", 2), ('c "d', 2), ("c #(d (e)", 3), ("c ##{ d", 3), ('c #"d', 3)],
    ids=["comment", "string", "Scheme", "music in Scheme", "Scheme string"],
)
def test_what_never_ends(source: str, offset: int) -> None:
    with pytest.raises(LexicalError) as caught:
        texts(source)
    assert caught.value.offset == offset


#: What python-ly's own lexer makes other tokens of; all are read as the typesetter reads them.
FAULTS = {
    "a command and a finger": (r"{ c'4\arpeggio_1 d' }", "c4@0 d4@1/4"),
    "a command and a markup": ("{ c'4\\trill_\\markup \"x\" d' }", "c4@0 d4@1/4"),
    "a variable and an underscore": ("pII = \\p { c'4\\pII_\\f d' }", "c4@0 d4@1/4"),
    "ré": ('\\language "français" { do\'4 ré\' rébb\'4 r4 mi\' }', "c4@0 d4@1/4 dbb4@1/2 e4@1"),
    "c-sharp": ('\\language "english" { c-sharp\'4 d-flatflat\' e-natural\' }', "c#4@0 dbb4@1/4 e4@1/2"),
    "leading zeros": ("{ c'04.. d'04 e' }", "c4@0 d4@7/16 e4@11/16"),
    "fixed at top level": (r"\fixed c' { c4 d }", "c4@0 d4@1/4"),
    "a note in a variable": (r"x = c'4 { \x d' }", "c4@0 d4@1/4"),
    "a staff without braces": (r"\new Staff c'4-1", "c4@0"),
    "relative without braces": (r"\relative c' c4", "c4@0"),
    "transpose without braces": (r"\transpose c d c'4", "d4@0"),
    "a score of one note": (r"\score { c'1-1 }", "c4@0"),
    "a score with relative": (r"\score { \relative c' c4 }", "c4@0"),
    "names as symbols": (
        r"{ \tag x c'4 \tweak color red d' \set Staff.instrumentName = foo e' }",
        "c4@0 d4@1/4 e4@1/2",
    ),
    "numbers that are no durations": (
        r"{ \mark 1 c'4\finger 2 \ottava 1 d' \tuplet 3/2 16 { e'8 f' g' } }",
        "c4@0 d4@1/4 e4@1/2 f4@7/12 g4@2/3",
    ),
    "time with a grouping": (r"{ \time 2,3 5/8 c'4 d' }", "c4@0 d4@1/4"),
    "a negative ottava is no finger": (r"{ \ottava -1 c'4 \ottava 0 d' }", "c4@0 d4@1/4"),
    "odd escapes": (r"{ c'4\=1( d'\=1) <e'\=1( g'> f'\=1) }", "c4@0 d4@1/4 e4@1/2 g4@1/2 f4@3/4"),
    "chords with scripts": (r"{ <c'-. e'->>4 d' }", "c4@0 e4@0 d4@1/4"),
    "engraver names": (r"\score { { c'4 } \layout { \context { \Staff \remove Foo_engraver } } }", "c4@0"),
    "a tempo word": (r"{ \tempo Allegro c'4 \tempo 4.=60-70 d' }", "c4@0 d4@1/4"),
    "a byte order mark": ("\ufeff{ c'4 }", "c4@0"),
}  # fmt: skip


@pytest.mark.parametrize(("source", "expected"), FAULTS.values(), ids=list(FAULTS))
def test_known_faults_of_the_library(source: str, expected: str) -> None:
    reading = reading_of(source)
    assert heard(reading) == expected
    assert told(reading) == []
