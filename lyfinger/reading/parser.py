"""Parsing the adapter's tokens, and what happens where the grammar doesn't fit.

The grammar is never bent to errors. Where a token can't be, the rest of the innermost bracket around it becomes
one ``OPAQUE`` token and the statement is parsed again; if that isn't enough, the next bracket outward does. A source
that is in ruins would be parsed again and again: after ``PATIENCE`` a statement that doesn't fit is left as a whole.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from .automaton import Automaton, Unexpected
from .builder import Builder
from .environment import Environment, Fault
from .syntax import Opaque
from .table import parsing_table
from .tokens import Tok


@cache
def _parser() -> tuple[Automaton, Builder]:
    builder = Builder()
    return Automaton(parsing_table(), builder), builder


def get_ready() -> None:
    """Load what every reading needs, so that processes that begin as copies of this one need not."""
    _parser()


NOT_UNDERSTOOD = "this is not understood"
PATIENCE = 5_000_000
"""How many tokens are parsed again in one reading: a few seconds' worth."""
STATEMENT_STARTS = frozenset({"ASSIGN", "SCORE", "BOOK", "BLOCK", "TEMPLATE"})
OF_A_NOTE = frozenset({"STAR", "DURATION", "FRACTION", "DOT", "QUOTES", "BANG", "EQUALS", "SCALAR"})
OPENING = {"LBRACE": 1, "LSIM": 1, "LCHORD": 1}
CLOSING = {"RBRACE": 1, "RSIM": 1, "RCHORD": 1}


def parse(tokens: list[Tok], environment: Environment) -> list[Any]:
    """All statements of a token stream, in order; assignments have taken effect in ``environment``."""
    statements: list[Any] = []
    patience = PATIENCE
    for chunk in _statements(tokens):
        found, patience = _parse_chunk(chunk, environment, patience)
        statements.extend(found)
    return statements


def _statements(tokens: list[Tok]) -> Iterator[list[Tok]]:
    """Cuts where a token at depth 0 can only begin a new statement."""
    chunk: list[Tok] = []
    depth = 0
    for token in tokens:
        type_ = token.type
        if depth == 0 and chunk and type_ in STATEMENT_STARTS and chunk[-1].type != "ASSIGN":
            yield chunk
            chunk = []
        if type_ in OPENING:
            depth += 1
        elif type_ in CLOSING:
            depth -= 1
        chunk.append(token)
    if chunk:
        yield chunk


def _parse_chunk(tokens: list[Tok], environment: Environment, patience: int) -> tuple[list[Any], int]:
    """The statements of a chunk, and what is left of the patience."""
    parser, builder = _parser()
    while True:
        builder.environment = environment.begin()
        try:
            statements: list[Any] = parser.parse(tokens)
            environment.accept(builder.environment)
            return list(statements), patience
        except Unexpected as error:
            at = error.index
        except Fault as fault:
            at = next((index for index, token in enumerate(tokens) if token.start_pos == fault.offset), 0)
        patience -= len(tokens)
        shorter = _made_opaque(tokens, at) if patience > 0 else None
        if shorter is None:
            return [_given_up(tokens, environment)], patience
        environment.given_up.extend(_spans_of_notes(tokens, shorter))
        tokens = shorter


def _given_up(tokens: list[Tok], environment: Environment) -> Opaque:
    """A statement of which nothing can be kept; a variable that it assigns holds nothing that can be read."""
    opaque = Opaque(tokens[0].start_pos, tokens[-1].end_pos, NOT_UNDERSTOOD)
    if tokens[0].type == "ASSIGN":
        environment.variables[tokens[0].value] = opaque
    return opaque


def _made_opaque(tokens: list[Tok], at: int) -> list[Tok] | None:
    """The tokens with those from ``at`` to the end of the bracket around it made one ``OPAQUE``.

    Where that was tried already, the whole bracket goes, and so on outward; None where there is no more bracket.
    Each call leaves fewer tokens that aren't opaque, or one bracket less, so that parsing again comes to an end.
    """
    at = _event_start(tokens, at)
    first, last = _bracket_around(tokens, at)
    tried = (at == last and at > 0 and tokens[at - 1].type == "OPAQUE") or (
        last - at == 1 and tokens[at].type == "OPAQUE"
    )
    if not tried:
        begin, stop = at, last
    elif at < last and at - 1 > first and _can_go(tokens[at - 1]):
        begin, stop = at - 1, last  # what stands before it can't end here: it goes too
    elif first >= 0:
        begin, stop = first, last + 1
    else:
        return None
    gone = tokens[begin:stop]
    start = gone[0].start_pos if gone else tokens[min(begin, len(tokens) - 1)].start_pos
    end = max((token.end_pos for token in gone), default=start)
    return [*tokens[:begin], Tok("OPAQUE", NOT_UNDERSTOOD, start, end), *tokens[stop:]]


def _event_start(tokens: list[Tok], at: int) -> int:
    """Where the event begins whose post-event or duration a token can't be: what remained of it would be wrong."""
    while at > 0 and tokens[at - 1].type == "DIRECTION":
        at -= 1
    if at == 0 or tokens[at - 1].type != "STAR":
        return at
    while at > 0 and tokens[at - 1].type in OF_A_NOTE:
        at -= 1
    if at > 0 and tokens[at - 1].type == "RCHORD":
        at = max(_bracket_around(tokens, at - 1)[0], 0)
    elif at > 0 and tokens[at - 1].type in ("PITCH", "REST", "QREPEAT"):
        at -= 1
    return at


def _can_go(token: Tok) -> bool:
    """Whether a token can be made opaque by itself: it closes no bracket, and isn't opaque or a variable's name."""
    return token.type not in CLOSING and token.type not in ("OPAQUE", "ASSIGN")


def _spans_of_notes(before: list[Tok], after: list[Tok]) -> list[tuple[int, int]]:
    """The stretch of ``before`` that is opaque in ``after``, if notes stand in it."""
    kept = {id(token) for token in after}
    gone = [token for token in before if id(token) not in kept]
    if not any(token.type in ("PITCH", "VARIABLE", "QREPEAT") for token in gone):
        return []
    return [(gone[0].start_pos, max(token.end_pos for token in gone))]


def _bracket_around(tokens: list[Tok], at: int) -> tuple[int, int]:
    """Indices of the bracket that opens around ``at`` (-1: none) and of the one that closes it."""
    depth, first = 0, -1
    for index in range(at - 1, -1, -1):
        if tokens[index].type in CLOSING:
            depth += 1
        elif tokens[index].type in OPENING:
            if depth == 0:
                first = index
                break
            depth -= 1
    depth = 0
    for index in range(at, len(tokens)):
        if tokens[index].type in OPENING:
            depth += 1
        elif tokens[index].type in CLOSING:
            if depth == 0:
                return first, index
            depth -= 1
    if first >= 0:
        return first, len(tokens)
    return first, _first_group_end(tokens, at)


def _first_group_end(tokens: list[Tok], at: int) -> int:
    """Behind the first bracket that closes at top level from ``at`` on: what follows may be another statement."""
    depth = 0
    for index in range(at, len(tokens)):
        if tokens[index].type in OPENING:
            depth += 1
        elif tokens[index].type in CLOSING:
            depth -= 1
            if depth == 0:
                return index + 1
    return len(tokens)
