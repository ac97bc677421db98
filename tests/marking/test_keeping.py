"""An earlier marking laid beside a revised part: which notes are the same, and what becomes of their digits.

All music is invented.
"""

from __future__ import annotations

import re
from time import process_time

import pytest

from lyfinger.config import Config
from lyfinger.marking.plan import make_plan, prove
from lyfinger.marking.proof import Changed
from lyfinger.reading.reader import read
from lyfinger.score.model import Reading
from lyfinger.source.library import Library

from ..score.sources import reading_of

BARS = (
    "c'8 d' e' f' g' a' b' c''",
    "c'' g' e' c' e' g' c'' e''",
    "<c' e' g'>4 <d' f' a'> <e' g' c''>2",
    "a'8 g' f' e' d'4 <c' c''>",
    "f'8 a' c'' f'' e'' c'' a' g'",
    "<e' c''>2 <d' b'>4 <c' e' g' c''>",
)
#: Not what the search would choose, and not far from it.
PRACTISED = "c'8^3 d'^2 e'^1 f'^3 g'^2 a'^1 b'^2 c''^1"


def source(*bars: str) -> str:
    return "\\new Staff = RH {\n" + "\n".join(bars) + "\n}\n"


def marked(text: str, *earlier: str, config: Config | None = None) -> tuple[str, list[str]]:
    """The marked text, and what was said."""
    library = Library()
    reading = read(library.stdin(text.encode(), "new.ly"), library)
    old: list[Reading] = [reading_of(one, f"old{number}.ly") for number, one in enumerate(earlier)]
    plan = make_plan([reading], config or Config(), old)
    outcome = prove(plan, library)[reading.root]
    said = [str(message) for message in plan.messages]
    return (outcome.data.decode() if isinstance(outcome, Changed) else text), said


def bar_lines(text: str) -> list[str]:
    return text.splitlines()[1:-1]


def digits(line: str) -> list[str]:
    return re.findall(r"\^(\d)", line)


@pytest.fixture(scope="module")
def old() -> str:
    return marked(source(PRACTISED, *BARS[1:]))[0]


def test_the_same_part_gets_the_same_digits(old: str) -> None:
    again, said = marked(source(*BARS), old)
    assert again == old != marked(source(*BARS))[0]
    assert said == []


def changes(old: list[str], new: list[str]) -> list[tuple[int, str, str]]:
    """Every digit that changed: (bar, before, now)."""
    lines = zip(map(digits, old), map(digits, new), strict=True)
    return [(bar, *pair) for bar, both in enumerate(lines) for pair in zip(*both, strict=True) if len(set(pair)) > 1]


@pytest.mark.parametrize("bar", range(len(BARS)))
def test_one_bar_revised_leaves_all_others(old: str, bar: int) -> None:
    """All but one digit at most: the note before a bar may have been placed with it, and then has to follow."""
    revised = [*BARS[:bar], "e''8 c'' a' f' d' f' a' c''", *BARS[bar + 1 :]]
    lines, before = bar_lines(marked(source(*revised), old)[0]), bar_lines(old)
    others = [place for place in range(len(BARS)) if place != bar]
    assert len(changes([before[place] for place in others], [lines[place] for place in others])) <= (bar == 5)
    assert len(digits(lines[bar])) == 8


@pytest.mark.parametrize("bar", range(len(BARS) + 1))
def test_bars_put_in_leave_all_others(old: str, bar: int) -> None:
    lines = bar_lines(marked(source(*BARS[:bar], "d'8 e' f' g' a' g' f' e'", BARS[0], *BARS[bar:]), old)[0])
    assert changes(bar_lines(old), [*lines[:bar], *lines[bar + 2 :]]) == []


@pytest.mark.parametrize("bar", range(len(BARS) - 1))
def test_a_bar_taken_out_leaves_all_others(old: str, bar: int) -> None:
    lines, before = bar_lines(marked(source(*BARS[:bar], *BARS[bar + 1 :]), old)[0]), bar_lines(old)
    assert changes([*before[:bar], *before[bar + 1 :]], lines) == []


def test_repeated_bars_with_one_changed_keep_theirs() -> None:
    """The bar that was written anew stands for the one that it replaces: none of the others is shifted."""
    same = ["c'8 e' g' e' c' e' g' e'"] * 9
    changed = same.copy()
    changed[4] = "d'8 f' a' f' d' f' a' f'"
    practised = same.copy()
    practised[7] = "c'8^4 e'^2 g'^1 e'^2 c'^4 e'^2 g'^1 e'^2"
    old = bar_lines(marked(source(*practised))[0])
    new = bar_lines(marked(source(*changed), source(*old))[0])
    assert [*new[:4], *new[5:]] == [*old[:4], *old[5:]]


def test_one_note_changed_in_a_chord_keeps_the_others() -> None:
    plan = make_plan([reading_of(source("<c' e' g'>1"))], Config(), [reading_of(source("<c'^4 d'^3 g'^1>1"))])
    assert plan.passages[0].part.passage.onsets[0].kept == (4, None, 1)


def test_music_pushed_on_is_found_by_its_steps(old: str) -> None:
    """An upbeat without a partial bar: every note has another place in its bar."""
    new = marked(source("g'8", *BARS), old)[0]
    assert digits(new)[1:] == digits(old)
    assert digits(marked(source("g'8", *BARS))[0])[1:] != digits(old)


def test_an_accidental_changes_no_string() -> None:
    old = source(PRACTISED)
    assert digits(marked(source(BARS[0].replace("f'", "fis'")), old)[0]) == digits(old)


def test_another_note_value_is_another_figure(old: str) -> None:
    slow = "c'4 d' e' f' g' a' b' c''"
    assert marked(source(slow), source(PRACTISED))[0] == marked(source(slow))[0]


def test_a_digit_that_became_impossible_is_dropped() -> None:
    """G4 was the thumb's; now there is a C above it, and the thumb is locked there."""
    new, said = marked(source("<e' g' c''^1>1"), source("<e'^3 g'^1 c''>1"))
    assert new == marked(source("<e' g' c''^1>1"))[0]
    assert said == []


def test_locks_of_the_new_part_win() -> None:
    new, _ = marked(source("c'8^4 d' e' f' g' a' b' c''"), source(PRACTISED))
    assert digits(new)[0] == "4"


def test_what_gives_way_is_said_once_for_a_hand() -> None:
    """A locked 1 on the first note takes the thumb out of the chord that it is placed with; what it costs to keep the
    rest is more than the weight."""
    awkward = "c'16^1 d'^1 e'^1 f'^1 g'^1 a'^1 b'^1 c''^1 r2"
    text = "c'16 d' e' f' g' a' b' c'' r2"
    new, said = marked(source(text), source(awkward))
    assert digits(new) != ["1"] * 8
    assert len(said) == 1
    assert re.search(
        r"^new.ly:2:1: warning: a digit of the earlier marking gives way: \d instead of 1, and \d more in this hand "
        r"\(bar 1\) \[kept-digit\]$",
        said[0],
    )


def test_of_several_earlier_markings_the_first_named_counts_most(old: str) -> None:
    other = marked(source(*BARS))[0]
    assert marked(source(*BARS), old, other)[0] == old
    assert marked(source(*BARS), other, old)[0] == other


def test_each_piece_of_a_file_takes_its_own_earlier_marking(old: str) -> None:
    """Two scores in one file, their markings in two files, named in the other order."""
    second = source("g'8 e' c' e' g' e' c' e'", "f' d' b f' d' b f' d'")
    slow = marked(second.replace("g'8", "g'8^1"))[0]
    both = "".join(f"\\score {{ {part} }}\n" for part in (source(*BARS), second))
    new, said = marked(both, slow, old)
    assert new == "".join(f"\\score {{ {part} }}\n" for part in (old, slow))
    assert said == []


def test_another_piece_is_not_kept_and_said_so(old: str) -> None:
    other = source("a''4 g'' f''2", "e''4 d'' c''2")
    new, said = marked(other, old)
    assert new == marked(other)[0]
    assert said == [
        "old0.ly:1:1: warning: no digit of this earlier marking is kept: it is other music, or another one is nearer "
        "[kept-digit]"
    ]


def test_hands_do_not_mix() -> None:
    one, other = "c'8 d' e' r8 r2", "s1"
    old = "<< \\new Staff = RH { c'8^4 d'^3 e'^2 r8 r2 } \\new Staff = LH { s1 } >>"
    same = f"<< \\new Staff = RH {{ {one} }} \\new Staff = LH {{ {other} }} >>"
    crossed = f"<< \\new Staff = RH {{ {other} }} \\new Staff = LH {{ {one} }} >>"
    assert marked(same, old)[0] == old != marked(same)[0]
    assert marked(crossed, old)[0] == marked(crossed)[0]


def test_another_piece_that_shares_a_bar_is_another_piece() -> None:
    old = source(PRACTISED, *["d'16 f' a' d'' f'' a'' f'' d'' a' f' d' a d' f' a' d''"] * 2)
    new = source("e''8 c'' a' e' c' e' a' c''", *BARS[1:3], BARS[0], *BARS[3:])
    assert marked(new, old)[0] == marked(new)[0]


def test_a_weight_of_nothing_keeps_nothing(old: str) -> None:
    config = Config(rules={"kept-digit": 0})
    assert marked(source(*BARS), old, config=config)[0] == marked(source(*BARS))[0]


def test_long_parts_with_nothing_in_common_end_soon() -> None:
    """400 bars against 400 others that share their notes in another order: no measure of speed, only that it ends."""
    bars = ["c'8 d' e' f' g' a' b' c''", "c''8 b' a' g' f' e' d' c'", "e'8 g' c'' g' e' g' c'' g'"]
    old = source(*(bars[(3 * i + i * i // 7) % 3].replace("e'", "e'^2", 1) for i in range(400)))
    new = source(*(f"r8 {bars[(i * i) % 3].rsplit(' ', 1)[0]}" for i in range(400)))
    before = process_time()
    marked(new, old)
    assert process_time() - before < 60
