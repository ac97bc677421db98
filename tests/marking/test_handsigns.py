r"""Signs for the hand: at the departure and the return, read again as the same hands, left out where they can't be.

The music is invented; where a hand is shown is common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from lyfinger.config import Config
from lyfinger.marking import handsigns
from lyfinger.marking.plan import make_plan, prove
from lyfinger.reading.reader import read
from lyfinger.source.library import Library
from lyfinger.source.messages import Refused
from tests.whole.command import lyfinger, marked, notes_in

TWO = '\\version "2.24.0"\n\\new PianoStaff << \\new Staff = RH { %s } \\new Staff = LH { \\clef bass %s } >>\n'
LEFT, RIGHT, AUTO = "%{ lyfinger: left %}", "%{ lyfinger: right %}", "%{ lyfinger: auto %}"
LH, RH = '\\markup\\italic"L.H."', '\\markup\\italic"R.H."'

ROWS = {
    "departure and return": (f"c''4 d'' {LEFT} e' f' {AUTO} g''1", f"c''4 d'' {LEFT} e'_{LH} f' {AUTO} g''1^{RH}"),
    "at the first note": (f"{LEFT} e'2 f' {AUTO} g''1", f"{LEFT} e'2_{LH} f' {AUTO} g''1^{RH}"),
    "once, whatever rests": (f"{LEFT} e'4 r f' r {AUTO} g''1", f"{LEFT} e'4_{LH} r f' r {AUTO} g''1^{RH}"),
    "behind a chord": (f"c''2 {LEFT} <d' f'> {AUTO} g''1", f"c''2 {LEFT} <d' f'>_{LH} {AUTO} g''1^{RH}"),
    "with a word already": (f"c''2 {LEFT} d'^\"m.s.\" {RIGHT} g''1", f"c''2 {LEFT} d'^\"m.s.\" {RIGHT} g''1^{RH}"),
    "a user's word, and its end": ("c''4 d'^\"m.s.\" r g''", f"c''4 d'^\"m.s.\" r g''^{RH}"),
    "none with the staff": ("c''4 \\change Staff = LH c d \\change Staff = RH e''", None),
    "none at home": ("c''4 d'' e'' f''", None),
}


def _bare(text: str) -> str:
    """Without digits."""
    return re.sub(r"[-^_][1-4](?!\d)", "", text)


@pytest.mark.parametrize(("notes", "wanted"), ROWS.values(), ids=list(ROWS))
def test_signs_stand_where_a_hand_leaves_its_staff_and_comes_back(notes: str, wanted: str | None) -> None:
    source = TWO % (notes, "c1")
    text = marked(source.encode(), "--hand-signs")
    assert _bare(text.decode()) == TWO % (wanted or notes, "c1")
    assert marked(text, "--hand-signs") == text
    assert _hands(source) == _hands(text.decode())


def _hands(source: str) -> list[object]:
    return [note["hand"] for note in notes_in(source)]


def test_a_staff_that_is_set_for_a_hand_is_at_home() -> None:
    library = Library()
    root = library.stdin((TWO % ("c''4 d'' e'' f''", "c1")).encode(), "a.ly")
    config = Config(hands={"RH": "left"}, hand_signs=True)
    assert make_plan([read(root, library)], config).texts == {}


def test_where_uses_do_not_agree_there_is_none_and_a_line_says_so() -> None:
    tune = f"tune = {{ c'4 {LEFT} e' {AUTO} f' g' }}\n"
    source = tune + TWO % ("\\tune \\tune", "c1 \\tune")
    done = lyfinger("mark", "-", "--stdin-filename", "a.ly", "--hand-signs", stdin=source.encode())
    assert done.status == 0
    assert b"L.H." not in done.out
    assert "a.ly:1:" in done.err
    assert "[sign-left-out]" in done.err


def test_a_word_that_would_turn_other_notes_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The return is kept from going in, so that the word for the departure holds on."""
    real = handsigns._wishes
    monkeypatch.setattr(handsigns, "_wishes", lambda *given: list(real(*given))[:1])
    library = Library()
    root = library.stdin((TWO % (f"c''4 {LEFT} e' {AUTO} g'' a''", "c1")).encode(), "a.ly")
    plan = make_plan([read(root, library)], Config(hand_signs=True))
    assert plan.texts == {}
    assert [message.rule for message in plan.messages] == ["sign-left-out"]


def test_hands_are_compared_before_anything_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    real = handsigns._wishes
    monkeypatch.setattr(handsigns, "_wishes", lambda *given: list(real(*given))[:1])
    monkeypatch.setattr(handsigns, "_turned", lambda *given: set())
    library = Library()
    root = library.stdin((TWO % (f"c''4 {LEFT} e' {AUTO} g'' a''", "c1")).encode(), "a.ly")
    plan = make_plan([read(root, library)], Config(hand_signs=True))
    with pytest.raises(Refused, match="the other hand's"):
        prove(plan, library)


def test_of_chosen_bars_only_whole_absences_are_shown() -> None:
    source = TWO % (f"c''2 {LEFT} d' | e' {AUTO} f'' | {LEFT} g'2 {AUTO} a''", "c1 c c")
    shown = {bars: marked(source.encode(), "--hand-signs", "--bars", bars).decode() for bars in ("1", "1-2", "3")}
    assert [text.count(".H.") for text in shown.values()] == [0, 2, 2]
