"""Drives the parsing table over the adapter's tokens, and calls the builder for each rule as it is complete.

The table is lark's, and so is the work of making it (see :mod:`.table`); this is the loop that every LALR parser has,
and the shape in which lark hands over the parts of a rule. The tests hold both to lark's own parser, trees and errors.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from .table import Rule, Table
from .tokens import Tok

Make = Callable[[list[Any]], Any]
_State = dict[str, Any]
"""By symbol the next state, or the rule to reduce by: its origin, its size, and what is made of its parts."""
_END = "$END"


class Unexpected(Exception):
    """The token at ``index`` can't stand there; ``index`` is the number of tokens where it is their end that can't."""

    def __init__(self, index: int) -> None:
        super().__init__(index)
        self.index = index


class Callbacks:
    """What a builder is: each method is named as a rule of the grammar, is given its parts, returns their meaning."""


class Automaton:
    """One parser: a table, and the builder that makes something of what is parsed."""

    def __init__(self, table: Table, builder: Callbacks) -> None:
        rules = [(rule.origin, rule.size, _make(rule, builder)) for rule in table.rules]
        states: list[_State] = [{} for _ in table.states]
        for state, found in zip(states, table.states, strict=True):
            state.update((symbol, states[to] if to >= 0 else rules[~to]) for symbol, to in found.items())
        self._start, self._end = states[table.start], states[table.end]

    def parse(self, tokens: Sequence[Tok]) -> Any:
        """What the builder made of the whole. Raises :class:`Unexpected`, and whatever the builder raises."""
        stack = [self._start]
        values: list[Any] = []
        for index, token in enumerate(tokens):
            symbol = token.type
            state = stack[-1]
            action = state.get(symbol)
            while type(action) is tuple:
                origin, size, make = action
                if size == 1:
                    if make is not None:
                        values[-1] = make([values[-1]])
                    state = stack[-1] = stack[-2][origin]
                else:  # as _reduce does it, without a call for each
                    first = len(values) - size
                    if make is not None:
                        values[first:] = (make(values[first:]),)
                    del stack[first + 1 :]
                    state = stack[-1][origin]
                    stack.append(state)
                action = state.get(symbol)
            if action is None:
                raise Unexpected(index)
            stack.append(action)
            values.append(token)
        while stack[-1] is not self._end:
            if _END not in stack[-1]:
                raise Unexpected(len(tokens))
            _reduce(stack, values, *stack[-1][_END])
        return values[-1]


def _reduce(stack: list[_State], values: list[Any], origin: str, size: int, make: Make | None) -> _State:
    """Let what a rule makes of the last values stand for them; returns the state behind it."""
    first = len(values) - size
    if make is not None:
        values[first:] = (make(values[first:]),)
    del stack[first + 1 :]
    state: _State = stack[-1][origin]
    stack.append(state)
    return state


def _make(rule: Rule, builder: Callbacks) -> Make | None:
    """What becomes of the parts of a rule; None where the one part there is stands for it."""
    if rule.only and rule.size == 1 and not rule.spliced:
        return None
    made: Make = getattr(builder, rule.method) if rule.method else list
    if rule.only:
        made = _unless_only(made)
    return _splicing(made, rule.spliced) if rule.spliced else made


def _unless_only(made: Make) -> Make:
    return lambda parts: parts[0] if len(parts) == 1 else made(parts)


def _splicing(made: Make, places: tuple[int, ...]) -> Make:
    if places == (0,):

        def grow(parts: list[Any]) -> Any:
            """The list that stands first is nobody else's, so that it may grow."""
            first: list[Any] = parts[0]
            first += parts[1:]
            return first if made is list else made(first)

        return grow

    def splice(parts: list[Any]) -> Any:
        spliced: list[Any] = []
        for place, part in enumerate(parts):
            if place in places:
                spliced += part
            else:
                spliced.append(part)
        return made(spliced)

    return splice
