"""``% lyfinger: left``: which notes a comment in the music speaks of. It holds to the next one, or its voice's end."""

from __future__ import annotations

import pytest

from tests.whole.command import notes_in

LETTERS = {"right": "R", "left": "L", None: "-"}

TABLE = {
    "from there on": ("{ c'4 % lyfinger: left\n d' e' }", "RLL"),
    "to the next": ("{ c'4 % lyfinger: left\n d' % lyfinger: right\n e' }", "RLR"),
    "at the start": ("{ % lyfinger: left\n c'4 d' }", "LL"),
    "a block comment": ("{ c'4 %{ lyfinger: left %} d' }", "RL"),
    "no blanks": ("{ c'4 %lyfinger:left\n d' }", "RL"),
    "many blanks": ("{ c'4 %   lyfinger:   left   \n d' }", "RL"),
    "with CR": ("{ c'4 % lyfinger: left\r\n d' }", "RL"),
    "other words are none": ("{ c'4 % lyfinger left\n d' % the left hand\n e' }", "RRR"),
    "in a string it is none": ("{ c'4^\"% lyfinger: left\" d' }", "RR"),
    "in a nested bracket": ("{ c'4 { % lyfinger: left\n d' } e' }", "RLL"),
    "its own voice only": ("{ << { c''4 % lyfinger: left\n d'' } \\\\ { e'4 f' } >> }", "RRLR"),
    "in a variable": ("x = { % lyfinger: left\n d'4 } {STAFF c'4 \\x e' }", "RLL"),
    "in a chord's middle": ("{ c'4 <d' % lyfinger: left\n f'> e' }", "R**L"),
}


@pytest.mark.parametrize(("music", "hands"), TABLE.values(), ids=list(TABLE))
def test_comments(music: str, hands: str) -> None:
    staff = '\\new Staff = "RH" {'
    source = music.replace("{STAFF", staff) if "{STAFF" in music else music.replace("{", staff, 1)
    found = "".join(LETTERS[note["hand"]] for note in notes_in(source))
    assert len(found) == len(hands)
    assert all(wanted in (one, "*") for one, wanted in zip(found, hands, strict=True)), found
