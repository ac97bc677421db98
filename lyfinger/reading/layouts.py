r"""What ``\layout`` blocks say that matters to a reader: contexts of the score's own, and bars that aren't counted."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from .arguments import unquoted
from .lexer import Flat

Context = tuple[Flat, ...]


def stops_timing(inside: list[Flat]) -> bool:
    """Whether a ``\\layout`` block sets ``timing = ##f`` or removes the translator that counts the bars."""
    for first, second, third in zip(inside, inside[1:], inside[2:], strict=False):
        if (first.text, second.text, third.text) == ("timing", "=", "##f"):
            return True
        if first.text == "\\remove" and unquoted(second.text) == "Timing_translator":
            return True
    return False


@dataclass(slots=True)
class DefinedContexts:
    r"""What the ``\context`` blocks of a score change: kinds of its own, with the kind that each is made from, and
    which kind accepts another besides those that it does by itself."""

    made_from: dict[str, str] = field(default_factory=dict)
    accepting: set[tuple[str, str]] = field(default_factory=set)

    def read(self, inside: list[Flat]) -> None:
        r"""Takes over what a ``\layout`` block says: ``\context { \Staff \name Wide \accepts CueVoice … }``."""
        for block in _context_blocks(inside):
            made_from = [token.text[1:] for token in block if token.kind == "Command" and token.text[1:2].isupper()]
            names = _given(block, "\\name")
            bases = made_from or _given(block, "\\alias")
            if names and bases:
                self.made_from[names[-1]] = bases[0]
            for kind in names or made_from:
                self.accepting.update((kind, accepted) for accepted in _given(block, "\\accepts"))


def _given(block: Context, command: str) -> list[str]:
    return [unquoted(value.text) for word, value in pairwise(block) if word.text == command]


def _context_blocks(inside: list[Flat]) -> list[Context]:
    """The tokens of each ``\\context { … }``."""
    blocks = []
    for index, token in enumerate(inside):
        if token.text != "\\context" or index + 1 >= len(inside) or inside[index + 1].text != "{":
            continue
        depth, end = 0, index + 1
        while end < len(inside):
            depth += {"{": 1, "}": -1}.get(inside[end].text, 0)
            if depth == 0:
                break
            end += 1
        blocks.append(tuple(inside[index + 2 : end]))
    return blocks
