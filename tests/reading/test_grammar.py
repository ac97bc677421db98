"""The grammar: its conflicts are the known ones, each settled as the typesetter settles it."""

from __future__ import annotations

import io
import logging
import re
from pathlib import Path

import lark
import pytest

from lyfinger.reading.table import no_lexer

from .heard import heard, reading_of, told

GRAMMAR = Path(__file__).resolve().parents[2] / "grammar" / "lilypond.lark"

#: What stands before the token at which the parser could also stop; it goes on (shifts).
KNOWN = {
    ("item : event post*", "DIRECTION"), ("item : event post*", "POST"), ("item : event post*", "SCRIPT"),
    ("item : event", "DIRECTION"), ("item : event", "POST"), ("item : event", "SCRIPT"),
    ("posts : post*", "DIRECTION"), ("posts : post*", "POST"), ("posts : post*", "SCRIPT"),
    ("note : pitch", "DURATION"),
    ("chord : LCHORD chord* RCHORD", "DURATION"), ("chord : LCHORD RCHORD", "DURATION"),
    ("repeated : QREPEAT", "DURATION"),
    ("rest : REST", "DURATION"),
    ("item : REPEAT item", "ALTERNATIVE"),
}  # fmt: skip
HELPERS = {"item_star": "post*", "chord_star": "chord*"}


def conflicts() -> list[tuple[str, str]]:
    """The conflicts that lark reports, as ``(rule so far, token)``."""
    heap = io.StringIO()
    handler = logging.StreamHandler(heap)
    before = lark.logger.level
    lark.logger.addHandler(handler)
    lark.logger.setLevel(logging.DEBUG)
    try:
        lark.Lark(GRAMMAR.read_text("utf-8"), parser="lalr", lexer=no_lexer(), debug=True, maybe_placeholders=False)
    finally:
        lark.logger.removeHandler(handler)
        lark.logger.setLevel(before)
    found = re.findall(r"^(\S+ conflict) for terminal (\w+):.*\n \* <(.*)>$", heap.getvalue(), re.M)
    assert {kind for kind, _, _ in found} <= {"Shift/Reduce conflict"}
    return [
        (re.sub(r"__(\w+?)_\d+", lambda match: HELPERS.get(match[1], match[0]), rule), token)
        for _, token, rule in found
    ]


def test_the_conflicts_are_the_known_ones() -> None:
    found = conflicts()
    assert len(found) == len(set(found))
    assert set(found) == KNOWN


SETTLED = [
    ("{ c'4 8 d' }", "c4@0 c4@1/4 d4@3/8", "a duration behind a pitch is the pitch's, a second one a note"),
    ("{ c' 8 d' }", "c4@0 d4@1/8", "a space or not"),
    ("{ <c' e'> 8 d' }", "c4@0 e4@0 d4@1/8", "the same behind a chord"),
    ("{ <>8 c' }", "c4@0", "an empty chord takes no time"),
    ("{ r 8 c' }", "c4@1/8", "the same behind a rest"),
    ("{ <c'>4 q 8 d' }", "c4@0 c4@1/4 d4@3/8", "the same behind q"),
    (r"{ \repeat volta 2 c'4 \alternative { d' e' } }", "c4@0 d4@1/4 e4@1/2", "an alternative is the repeat's"),
    (
        r"{ \repeat unfold 2 { \repeat unfold 2 c'4 \alternative { d' e' } } }",
        "c4@0 d4@1/4 c4@1/2 e4@3/4 c4@1 d4@5/4 c4@3/2 e4@7/4",
        "of the repeat right before it",
    ),
    (r"{ c'4 -1 -. ^\markup x d' }", "c4@0 d4@1/4", "post-events are the nearest event's"),
]


@pytest.mark.parametrize(("source", "expected", "why"), SETTLED)
def test_how_they_are_settled(source: str, expected: str, why: str) -> None:
    reading = reading_of(source)
    assert heard(reading) == expected, why
    assert told(reading) == []


def test_post_events_belong_to_the_note_before_them() -> None:
    first, second = reading_of("{ c'4 -1 ^2 d' }").scores[0].notes
    assert [digit.text for digit in first.source.locked] == ["1", "2"]
    assert second.source.locked == ()
