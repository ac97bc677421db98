r"""Digits that are taken out: in every spelling, with all that is theirs, and nothing else.

Checked against the typesetter's events: the same notes before and after, and no fingering left. The music is invented.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from lyfinger.config import Config
from lyfinger.marking.clearing import Clearing, cleared, clearing
from lyfinger.marking.excerpt import Excerpt
from lyfinger.marking.plan import without_digits
from lyfinger.marking.proof import Changed
from lyfinger.reading.reader import read
from lyfinger.source.library import Library
from lyfinger.source.messages import Refused
from tests.reading.test_locked_digits import SPELLINGS
from tests.referee.events import PlayedNote, played

HEAD = '\\version "2.24.0"\n'
TWO_HANDS = "\\new PianoStaff << \\new Staff = RH { %s } \\new Staff = LH { \\clef bass %s } >>\n"


def clear(source: str, excerpt: Excerpt | None = None) -> tuple[str, list[str]]:
    """The source without the digits that are taken out, and what was said."""
    library = Library()
    root = library.stdin((HEAD + source).encode(), "a.ly")
    plan = without_digits([read(root, library)], Config(), (), excerpt or Excerpt())
    found = clearing(plan)
    outcome = cleared(plan, found, library)[root]
    data = outcome.data if isinstance(outcome, Changed) else root.data
    return data.decode().removeprefix(HEAD), [str(message) for message in found.messages]


SPELLED = {name: source for name, (source, locked) in SPELLINGS.items() if any(locked)}
UNTOUCHED = {name: source for name, (source, locked) in SPELLINGS.items() if not any(locked)}


def _right(source: str) -> str:
    return source.replace("{", '\\new Staff = "RH" {', 1)


@pytest.mark.parametrize("source", SPELLED.values(), ids=list(SPELLED))
def test_every_spelling_goes(source: str, tmp_path: Path) -> None:
    before = _right(source)
    after, told = clear(before)
    assert told == []
    rest = iter(before)
    assert all(char in rest for char in after), "what is left must be a part of what was there, in order"
    assert _heard(before, tmp_path / "before.ly") == _heard(after, tmp_path / "after.ly")
    (now,) = played(tmp_path / "after.ly")
    assert now.fingers == ()
    assert not {"-1", "^1", "_1", "\\tweak", "\\parenthesize", "\\offset"} & set(after.split())


def _heard(source: str, path: Path) -> list[tuple[object, ...]]:
    path.write_text(HEAD + source, encoding="utf-8")
    (events,) = played(path)
    return sorted((_music(note) for note in events.notes), key=str)


def _music(note: PlayedNote) -> tuple[object, ...]:
    return (note.moment, note.grace, note.duration, note.octave, note.step, note.alter, note.tied)


@pytest.mark.parametrize("source", UNTOUCHED.values(), ids=list(UNTOUCHED))
def test_what_is_no_digit_stays(source: str) -> None:
    assert clear(_right(source)) == (_right(source), [])


STAYS = {
    "words would meet": ("{ c-1d }", "what stands before and behind it would run together"),
    "numbers would meet": ('{ c\'4-\\finger "1"8 }', "what stands before and behind it would run together"),
    "a bare duration would be its own": ("{ c'-1 4 }", "the duration behind it would become the note's"),
    "behind a comment too": ("{ c'-1 %{ x %} 4 }", "the duration behind it would become the note's"),
    "a slip of the pen": ("{ c'4-1' }", "what stands before and behind it would run together"),
    "a tweak of nothing": (r"{ c'4-\tweak ^2 d' }", r"a \tweak without a property stands before it"),
    "a tweak without a value": (r"{ c'4-\tweak color ^2 d' }", r"a \tweak without a property stands before it"),
    "a comment in it": ("{ c'4- %{ x %} 1 }", "a comment stands in it"),
}


@pytest.mark.parametrize(("source", "why"), STAYS.values(), ids=list(STAYS))
def test_what_can_not_go_without_harm_stays_with_a_warning(source: str, why: str) -> None:
    assert clear(_right(source)) == (
        _right(source),
        [f"a.ly:2:21: warning: its digit stays: {why} [not-cleared]"],
    )


def test_several_in_a_row_go_together() -> None:
    """What meets is what stands before the first and behind the last."""
    assert clear(_right("{ c'4-1^2-\\tweak color #red _3\\p d'8 }"))[0] == _right("{ c'4\\p d'8 }")
    kept = _right("{ c-1-2d }")
    assert clear(kept)[0] == kept


def test_digits_behind_a_chord_go_all_or_not_at_all() -> None:
    assert clear(_right("{ <c' e' g'>4-3-2-1 d'-1 }"))[0] == _right("{ <c' e' g'>4 d' }")
    kept = _right("{ <c' e' g'>4-3-2-%{%}1 d'-1 }")
    after, told = clear(kept)
    assert after == _right("{ <c' e' g'>4-3-2-%{%}1 d' }")
    assert sorted(line.partition("stays: ")[2] for line in told) == ["a comment stands in it [not-cleared]"] * 3


CHOSEN = [
    (Excerpt(bars=(2, 2)), ("c'4-1 d'-2 e'-3 f'-4 g'1", "c1-1 d1-4")),
    (Excerpt(bars=(2, 3), staves=("lh",)), ("c'4-1 d'-2 e'-3 f'-4 g'1-1", "c1-1 d1")),
    (Excerpt(staves=("RH",)), ("c'4 d' e' f' g'1", "c1-1 d1-4")),
]


@pytest.mark.parametrize(("excerpt", "music"), CHOSEN, ids=str)
def test_only_what_is_chosen_goes(excerpt: Excerpt, music: tuple[str, str]) -> None:
    source = TWO_HANDS % ("c'4-1 d'-2 e'-3 f'-4 g'1-1", "c1-1 d1-4")
    wanted = TWO_HANDS % music
    if excerpt.bars == (2, 2):
        wanted = TWO_HANDS % ("c'4-1 d'-2 e'-3 f'-4 g'1", "c1-1 d1")
    assert clear(source, excerpt) == (wanted, [])


USED_TWICE = "tune = { c'4-1 d' e' f' }\n" + TWO_HANDS % ("\\tune r1 \\tune", "r1 r1 c1-2")


def test_a_digit_that_sounds_elsewhere_stays_with_a_warning() -> None:
    after, told = clear(USED_TWICE, Excerpt(bars=(3, 3)))
    assert after == USED_TWICE.replace("c1-2", "c1")
    assert told == [
        "a.ly:2:10: warning: its digit stays: the note sounds elsewhere too (RH, bar 1, beat 1) [not-cleared]"
    ]


def test_a_digit_goes_where_all_its_soundings_are_chosen() -> None:
    wanted = USED_TWICE.replace("c'4-1", "c'4").replace("c1-2", "c1")
    assert clear(USED_TWICE, Excerpt(bars=(1, 3))) == (wanted, [])


def test_a_digit_that_another_instrument_plays_from_stays() -> None:
    source = (
        "tune = { c'4-1 d' e' f' }\n\\score { << \\new Staff \\with { instrumentName = Flute } \\tune "
        "\\new PianoStaff << \\new Staff = RH \\tune \\new Staff = LH { c1-2 } >> >> }"
    )
    after, told = clear(source)
    assert after == source.replace("c1-2", "c1")
    assert len(told) == 1
    assert "the note sounds elsewhere too (Staff1, bar 1, beat 1)" in told[0]


def test_other_instruments_keep_their_fingerings() -> None:
    source = (
        "\\score { << \\new Staff \\with { instrumentName = Violin } { a'4-1 b'-2 } "
        "\\new PianoStaff \\with { instrumentName = Harp } << \\new Staff { c'2-1 } \\new Staff { c2-2 } >> >> }"
    )
    assert clear(source) == (source.replace("c'2-1", "c'2").replace("c2-2", "c2"), [])


def test_a_wrong_deletion_is_caught_before_anything_is_written() -> None:
    """The proof reads the result again: a note that would go with its digit is refused."""
    library = Library()
    root = library.stdin(f"{HEAD}\\new Staff = RH {{ c'4-1 d'-2 }}".encode(), "a.ly")
    plan = without_digits([read(root, library)], Config())
    found = clearing(plan)
    first = min(found.sources, key=lambda source: source.locked[0].end)
    first.locked = (first.locked[0]._replace(end=first.locked[0].end + 2),)
    with pytest.raises(Refused, match="internal error"):
        cleared(plan, Clearing(found.sources, ()), library)
