"""Deletions take out what they say and nothing else, whatever the bytes."""

from __future__ import annotations

import pytest

from lyfinger.source.cuts import Cuts, Deletion, refuse_unless_deletions
from lyfinger.source.messages import Refused
from lyfinger.source.text import SourceFile, decode

DATA = "\ufeffa b\r\n\u00e9 \U0001f3b5 c".encode() + b" \xff d\n"


def cuts_of(*spans: tuple[int, int], data: bytes = DATA) -> Cuts:
    return Cuts.of(SourceFile("a.ly", data), [Deletion(*span) for span in spans])


@pytest.mark.parametrize(
    "spans", [[], [(0, 1)], [(1, 3), (6, 8)], [(8, 9), (6, 7), (1, 2)], [(11, 12)], [(1, 3), (3, 5)]]
)
def test_what_is_left_is_the_rest_of_the_text(spans: list[tuple[int, int]]) -> None:
    cuts = cuts_of(*spans)
    gone = {index for start, end in spans for index in range(start, end)}
    output = cuts.apply()
    text = cuts.file.text
    assert decode(output) == "".join(char for index, char in enumerate(text) if index not in gone)
    refuse_unless_deletions(cuts, output)
    move = cuts.mover()
    for index, char in enumerate(text):
        if index not in gone:
            assert decode(output)[move(index)] == char


@pytest.mark.parametrize("spans", [[(1, 3), (2, 4)], [(2, 2)], [(3, 1)], [(0, 99)], [(-1, 2)]])
def test_what_makes_no_sense_is_refused(spans: list[tuple[int, int]]) -> None:
    with pytest.raises(ValueError, match=r"a\.ly"):
        cuts_of(*spans)


@pytest.mark.parametrize(
    "spoil", [lambda b: b[:-1], lambda b: b + b" ", lambda b: b.replace(b"\r", b""), lambda b: b[1:]]
)
def test_another_change_is_caught(spoil: object) -> None:
    cuts = cuts_of((1, 3))
    assert callable(spoil)
    with pytest.raises(Refused, match="beyond the digits"):
        refuse_unless_deletions(cuts, spoil(cuts.apply()))
