r"""Signs that a marking has put in come out again, and nothing else: what a user wrote stays, byte for byte."""

from __future__ import annotations

import re

import pytest

from tests.whole.command import lyfinger

ALL = ("--slides", "--crossings", "--hand-signs", "--brackets")
UPPER = (
    "c''8 b' a' g' f' e' d' c' | %{ lyfinger: left %} c'8(d' e' f') %{ lyfinger: auto %} g'8 a'b'c'' | "
    "c''16 b' a' g' f'4 <c' e' g'>2 | c'8-\\p d' e' f' %{ lyfinger: left %} g' a' b' c'' %{ lyfinger: auto %}"
)
SOURCE = (
    '\\version "2.24.0"\n\\new PianoStaff << \\new Staff = RH { %s } \\new Staff = LH { \\clef bass c1 r d e } >>\n'
)


def _clear(data: bytes, *options: str, name: str = "a.ly") -> tuple[bytes, str]:
    done = lyfinger("clear", "-", "--stdin-filename", name, *options, stdin=data)
    assert done.status == 0, done.err
    return done.out, done.err


def _mark(data: bytes, *options: str, name: str = "a.ly") -> bytes:
    done = lyfinger("mark", "-", "--stdin-filename", name, *options, stdin=data)
    assert done.status == 0, done.err
    return done.out


SHAPES = {
    "plain": SOURCE % UPPER,
    "Windows line ends": (SOURCE % UPPER).replace("\n", "\r\n"),
    "byte order mark": "\ufeff" + SOURCE % UPPER,
    "relative": SOURCE % f"\\relative c'' {{ {re.sub(chr(39), '', UPPER.replace('b', ' b').replace('c', ' c'))} }}",
    "a variable twice": "tune = { c''16 b' a' g' f'4 r2 }\n" + SOURCE % "\\tune \\tune",
}


@pytest.mark.parametrize("chords", ["stacked", "left"])
@pytest.mark.parametrize("shape", SHAPES.values(), ids=list(SHAPES))
def test_what_went_in_comes_out(shape: str, chords: str) -> None:
    data = shape.encode()
    marked = _mark(data, *ALL, "--chords", chords)
    assert b"\\startGroup" in marked
    assert _clear(marked) == (data, "")


DOCUMENTS = {
    "a.html": "<p>\r\n<lilypond fragment relative=1>c16 b a g f4 c8 d e f g a b c</lilypond>\r\n"
    "<lilypond>\n\\new Staff = RH { c'8 e' g' c'' <c' e' g'>2 }\n</lilypond></p>",
    "a.tex": "\\begin{lilypond}\n\\new Staff = RH { c'8e'8g'8c''8 f'2 }\n\\end{lilypond}\n"
    "\\lilypond[fragment]{ c'8 d' e' f' g' a' b' c'' }\n",
}


@pytest.mark.parametrize(("name", "text"), DOCUMENTS.items())
def test_from_documents_too(name: str, text: str) -> None:
    """A fragment has no head, so it gets no brackets; its slides and crossings need none."""
    data = text.encode()
    marked = _mark(data, *ALL, name=name)
    assert marked.count(b"\\layout") == 1
    assert b"undertie" in marked
    assert _mark(marked, *ALL, name=name) == marked
    assert _clear(marked, name=name)[0] == data


@pytest.mark.parametrize("bars", ["1", "2", "3", "2-3", "4"])
def test_of_chosen_bars_what_went_in_there_comes_out(bars: str) -> None:
    data = (SOURCE % UPPER).encode()
    assert _clear(_mark(data, *ALL, "--bars", bars), "--bars", bars) == (data, "")


USERS = {
    "brackets": "c'8-1\\startGroup e'-2 g'-3\\stopGroup",
    "brackets with a direction": "c'8\\tweak direction #UP \\startGroup e' g'-\\tweak color #red \\stopGroup",
    "a slide": "c''8\\glide -1 b'-1",
    "words for a hand": "c''4^\"L.H.\" d''^\\markup \\italic \"R.H.\" e''_\\markup { \\italic \"L.H.\" }",
    "a layout": "c'8",
}
LAYOUT = "\\layout { \\context { \\Voice \\consists Horizontal_bracket_engraver } }\n"


@pytest.mark.parametrize("notes", USERS.values(), ids=list(USERS))
def test_what_a_user_wrote_stays(notes: str) -> None:
    source = LAYOUT + f'\\version "2.24.0"\n\\new Staff = RH {{ {notes} }}\n'
    cleared, _ = _clear(source.encode())
    assert cleared.decode() == re.sub("-[123]", "", source)


def test_a_line_from_a_digit_that_stays_to_one_that_goes_is_taken_out() -> None:
    source = b"\\version \"2.24.0\"\n\\new Staff = RH { \\time 1/8 c''16^2 b'-\\glide^1 | a'^1 g'^2 }\n"
    cleared, _ = _clear(source, "--bars", "2")
    assert cleared.endswith(b"c''16^2 b'^1 | a' g' }\n")


def test_signs_that_have_come_to_be_needed_stay_with_a_warning() -> None:
    """Without its comment the passage is the left hand's by the sign alone."""
    marked = (
        _mark((SOURCE % UPPER).encode(), "--hand-signs")
        .replace(b"%{ lyfinger: left %}", b"")
        .replace(b"%{ lyfinger: auto %}", b"")
    )
    cleared, said = _clear(marked)
    assert cleared.count(b".H.") == marked.count(b".H.") > 0
    assert "the signs for hands stay" in said
    assert "[not-cleared]" in said


def test_the_head_of_an_earlier_marking_is_known_again() -> None:
    """Brackets once stood nearer to the notes; what was marked then can still be cleared, and marked again."""
    source = (SOURCE % UPPER).encode()
    now = _mark(source, *ALL)
    room = b"\\override HorizontalBracket.padding = #1.8 "
    assert now.count(room) == 1
    then = now.replace(room, b"")
    assert _mark(then, *ALL) == then
    assert _clear(then)[0] == source
