r"""What ``\layout`` blocks say that matters to a reader: contexts of the score's own, and bars that aren't counted."""

from __future__ import annotations

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


def defined_contexts(inside: list[Flat]) -> dict[str, str]:
    r"""The contexts that ``\context { \Staff \name Wide … }`` defines, with the one that each is made from.

    One that is made from nothing counts as what it is an ``\alias`` of.
    """
    found = {}
    for block in _context_blocks(inside):
        names = [unquoted(value.text) for word, value in zip(block, block[1:], strict=False) if word.text == "\\name"]
        made_from = [token.text[1:] for token in block if token.kind == "Command" and token.text[1:2].isupper()]
        aliases = [unquoted(value.text) for word, value in zip(block, block[1:], strict=False) if word.text == "\\alias"]
        if names and (made_from or aliases):
            found[names[-1]] = (made_from or aliases)[0]
    return found


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
