"""Comments that accept a finding: which line they are about, and what is said of those that accept nothing."""

from __future__ import annotations

import pytest

from lyfinger.checking.accepting import acceptances, judge
from lyfinger.source.messages import Message, Severity
from lyfinger.source.text import Place, SourceFile

from ..score.sources import reading_of

KNOWN = ("leap", "reach", "wide-chords")


def _comment(text: str) -> tuple[int, tuple[str, ...], str]:
    (one,) = acceptances(reading_of(text).acceptances)
    assert [text[at : at + len(rule)] for at, rule in zip(one.offsets, one.rules, strict=True)] == list(one.rules)
    return one.line, one.rules, one.reason


READ = {
    "behind music": ("{ c'4 % lyfinger: accept leap\n d' }", (1, ("leap",), "")),
    "above it": ("{\n % lyfinger: accept leap\n d' }", (3, ("leap",), "")),
    "above another comment": ("{\n% lyfinger: accept leap\n  % indeed\nd' }", (4, ("leap",), "")),
    "several": ("{ c'4 % lyfinger: accept leap, reach ,wide-chords\n }", (1, ("leap", "reach", "wide-chords"), "")),
    "with a reason": ("{ c'4 % lyfinger: accept leap: she  can\n }", (1, ("leap",), "she can")),
    "with a dash": ("{ c'4 % lyfinger: accept leap – she can.\n }", (1, ("leap",), "she can")),
    "in a block": ("{ %{ lyfinger: accept leap why not %} c'4 }", (1, ("leap",), "why not")),
    "in a block of two lines": ("{ %{ lyfinger: accept leap\n why not %} c'4 }", (2, ("leap",), "why not")),
    "a block alone": ("{\n%{ lyfinger: accept leap %}\nc'4 }", (3, ("leap",), "")),
    "with CR": ("{\r\n% lyfinger: accept leap\r\nc'4 }", (3, ("leap",), "")),
    "behind a byte order mark": ("\ufeff% lyfinger: accept leap\n{ c'4 }", (2, ("leap",), "")),
    "at the end of all": ("{ c'4 }\n% lyfinger: accept leap", (2, ("leap",), "")),
    "no name": ("{ c'4 % lyfinger: accept\n }", (1, (), "")),
}


@pytest.mark.parametrize(("text", "wanted"), READ.values(), ids=list(READ))
def test_read(text: str, wanted: tuple[int, tuple[str, ...], str]) -> None:
    assert _comment(text) == wanted


@pytest.mark.parametrize(
    "text", ['{ c\'4^"% lyfinger: accept leap" }', "{ c'4 % accept leap\n }", "{ c'4 % lyfinger: accepted\n}"]
)
def test_no_comment(text: str) -> None:
    assert reading_of(text).acceptances == []


SOURCE = "% lyfinger: accept leap, reech\n{ c'4\n d'4 }\n"
FILE = SourceFile("a.ly", SOURCE.encode())
COMMENTS = acceptances([(Place(FILE, 0), SOURCE.split("\n")[0])])


def _leap(offset: int) -> Message:
    return Message(Severity.WARNING, Place(FILE, offset), "too far", "leap")


def test_what_is_on_the_line_is_accepted_and_nothing_else() -> None:
    here, there = _leap(SOURCE.index("c'")), _leap(SOURCE.index("d'"))
    judged = judge([here, there], COMMENTS, KNOWN, lambda rule: True)
    assert judged.left == (there,)
    assert [(one.finding, one.by) for one in judged.accepted] == [(here, COMMENTS[0])]


def test_what_no_longer_occurs_is_a_note_and_what_never_was_a_warning() -> None:
    judged = judge([], COMMENTS, KNOWN, lambda rule: True)
    assert [str(one.message) for one in judged.remarks] == [
        "a.ly:1:20: note: leap is accepted here, and does not occur on line 2 [accepts-nothing]",
        "a.ly:1:26: warning: no rule is called reech; did you mean reach? [unknown-rule]",
    ]


def test_nothing_is_said_of_what_was_not_asked() -> None:
    judged = judge([], COMMENTS, KNOWN, lambda rule: rule != "leap")
    assert [one.message.rule for one in judged.remarks] == ["unknown-rule"]


def test_a_comment_without_a_name() -> None:
    text = "{ c'4 % lyfinger: accept\n }"
    judged = judge([], acceptances(reading_of(text).acceptances), KNOWN, lambda rule: True)
    assert [one.message.text for one in judged.remarks] == ["this accepts nothing: it names no rule"]
