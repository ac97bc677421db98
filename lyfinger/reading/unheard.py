"""Durations in words, chord names, figures and percussion, which are passed over otherwise."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from .arguments import duration_value
from .lexer import Flat

PASSED = frozenset({"{", "}", "|", "~"})
OF_A_CHORD = frozenset({":", ".", "^", "/", "+", "-"})
"""What stands before the words and numbers of a chord's name: ``:sus4``, ``:7.9-``, ``/g``."""


def last_duration(inside: list[Flat]) -> str | None:
    """The last duration that is written behind a word or a bracket."""
    found = None
    for duration in _durations(inside):
        found = duration or found
    return found


def plain_length(inside: list[Flat]) -> Fraction | None:
    """The length in whole notes; None where there is more than words, durations and braces, or the first word has
    no duration of its own."""
    if any(token.kind not in ("Word", "Number") and token.text not in PASSED for token in inside):
        return None
    total, length = Fraction(0), None
    for written in _durations(inside):
        length = duration_value(written) if written else length
        if length is None:
            return None
        total += length
    return total


def _durations(inside: list[Flat]) -> Iterator[str | None]:
    """The duration of each event: None where none is written. A duration by itself is an event too."""
    waiting = False
    before = ""
    for token in inside:
        if token.kind == "Number" and before not in OF_A_CHORD and duration_value(token.text):
            yield token.text
            waiting = False
        elif token.kind in ("Word", "QuotedString") or token.text == ">":
            if before in OF_A_CHORD:
                continue  # and what touches it is part of the chord's name, too
            if waiting:
                yield None
            waiting = True
        before = token.text
    if waiting:
        yield None
