r"""What ``\layout`` and ``\with`` change in contexts: kinds of the score's own, and the few properties and engravers
that the reading depends on.

Settings are a mapping from a property to its value as written (empty where it is unset), and from an engraver to
``on`` or ``off``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from .arguments import unquoted
from .lexer import Flat

BAR_COUNTER = "Timing_translator"
SPLITTER = "Completion_heads_engraver"
ENGRAVERS = frozenset({BAR_COUNTER, SPLITTER})
ON, OFF = "on", "off"
COUNTING = frozenset({"alternativeNumberingStyle", "currentBarNumber", "measureLength", "measurePosition", "timing"})
"""Properties from which bars are counted."""
SPLITTING = frozenset({"completionFactor", "completionUnit"})
"""Properties by which notes are split at bar lines."""
PROPERTIES = COUNTING | SPLITTING
EVERY_STAFF = "staff"
"""Stands for the kinds of all staves."""


class Definition(NamedTuple):
    """What a layout says of one kind of context: ``accepts`` besides what it accepts by itself; ``made_from`` is the
    kind that a kind of the score's own begins as."""

    kind: str
    settings: Mapping[str, str] = MappingProxyType({})
    made_from: str | None = None
    accepts: tuple[str, ...] = ()


class Layout(NamedTuple):
    """A ``\\layout`` block: where it begins (a global offset), and what it says of contexts, in its order."""

    start: int
    definitions: tuple[Definition, ...]


def layout_of(start: int, inside: Sequence[Flat]) -> Layout:
    """The layout whose braces hold these tokens."""
    return Layout(start, tuple(_definitions(inside)))


def settings_in(tokens: Sequence[Flat]) -> dict[str, str]:
    """The settings in a ``\\with`` or ``\\context`` block."""
    found: dict[str, str] = {}
    for index, token in enumerate(tokens):
        name = unquoted(token.text)
        before = tokens[index - 1].text if index else ""
        if name in ENGRAVERS and before.startswith(("\\consists", "\\remove")):
            found[name] = OFF if before == "\\remove" else ON
        elif name in PROPERTIES and before != ".":
            found.update(_value(name, before, tokens[index + 1 : index + 3]))
    return found


def _value(name: str, before: str, behind: Sequence[Flat]) -> dict[str, str]:
    if before == "\\unset":
        return {name: ""}
    return {name: behind[1].text} if len(behind) == 2 and behind[0].text == "=" else {}


def _definitions(inside: Sequence[Flat]) -> Iterator[Definition]:
    index = 0
    while index < len(inside):
        token = inside[index]
        if token.text == "\\enablePolymeter":
            yield Definition("Score", {BAR_COUNTER: OFF})
            yield Definition(EVERY_STAFF, {BAR_COUNTER: ON})
        elif token.text == "\\context" and inside[index + 1 : index + 2] and inside[index + 1].text == "{":
            end = _closing(inside, index + 1)
            yield from _definition(inside[index + 2 : end])
            index = end
        elif token.text == "\\set" and len(inside) > index + 5 and inside[index + 2].text == ".":
            kind, name, equals, value = (inside[index + place].text for place in (1, 3, 4, 5))
            if name in PROPERTIES and equals == "=":
                yield Definition(kind, {name: value})
        index += 1


def _definition(block: Sequence[Flat]) -> Iterator[Definition]:
    r"""What the braces of a ``\context`` hold: ``\Staff \name Wide \accepts CueVoice …``."""
    commands = (unquoted(token.text[1:]) for token in block if token.kind == "Command")
    bases = [name for name in commands if name[:1].isupper()] or _given(block, "\\alias")
    names = _given(block, "\\name") or bases
    if names:
        base = bases[0] if bases and bases[0] != names[-1] else None
        yield Definition(names[-1], settings_in(block), base, tuple(_given(block, "\\accepts")))


def _given(block: Sequence[Flat], command: str) -> list[str]:
    return [unquoted(value.text) for word, value in pairwise(block) if word.text == command]


def _closing(tokens: Sequence[Flat], opening: int) -> int:
    depth = 0
    for index in range(opening, len(tokens)):
        if tokens[index].kind == "Bracket" and tokens[index].text in "{}":
            depth += 1 if tokens[index].text == "{" else -1
            if depth == 0:
                return index
    return len(tokens)
