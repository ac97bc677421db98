"""Durations in words, chord names, figures and percussion, which are passed over otherwise."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from .arguments import duration_value
from .lexer import Flat

PASSED = frozenset({"{", "}", "|", "~"})


def last_duration(inside: list[Flat]) -> str | None:
    """The last duration that is written: what touches a word or a bracket before it."""
    found = None
    for _, duration in _durations(inside):
        found = duration or found
    return found


def plain_length(inside: list[Flat]) -> Fraction | None:
    """The length in whole notes; None where there is more than words, durations and braces, or the first word has
    no duration of its own."""
    if any(token.kind not in ("Word", "Number") and token.text not in PASSED for token in inside):
        return None
    total, length = Fraction(0), None
    for token, written in _durations(inside):
        length = duration_value(written) if written else length
        if token.kind == "Word":
            if length is None:
                return None
            total += length
    return total


def _durations(inside: list[Flat]) -> Iterator[tuple[Flat, str | None]]:
    """Each token that a duration may touch, with that duration."""
    for token, follower in zip(inside, [*inside[1:], None], strict=False):
        if token.kind not in ("Word", "QuotedString", "Quotes") and token.text != ">":
            continue
        touched = follower is not None and follower.kind == "Number" and follower.start == token.end
        yield token, follower.text if touched and follower is not None and duration_value(follower.text) else None
