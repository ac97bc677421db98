"""The parsing table: made by lark from ``grammar/lilypond.lark``, kept as plain data, used without lark.

Loading lark takes longer than parsing a page of music, and a build step starts often. So what lark makes is written
down once, in the user's cache folder: its LALR states, and for each rule how its parts become the arguments of the
builder's method. The file says what it was made from, word for word, and counts only where that is still so.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any, NamedTuple
from zlib import crc32

from .vocabulary import grammar_file

START = "start"


class Rule(NamedTuple):
    """A production: ``size`` symbols become one ``origin``.

    ``method`` is the builder's; empty for a list that lark has made of a repetition. ``spliced`` are the places of
    such lists among the symbols: their items go in singly. With ``only`` an only child stands for the whole.
    """

    origin: str
    size: int
    method: str
    spliced: tuple[int, ...]
    only: bool


class Table(NamedTuple):
    """LALR(1): ``states[state][symbol]`` is the next state, or for a terminal ``~rule``: reduce by that rule."""

    states: list[dict[str, int]]
    rules: list[Rule]
    start: int
    end: int


def parsing_table() -> Table:
    """The table of the grammar, from the cache folder or else made and put there."""
    grammar = grammar_file("lilypond.lark").read_text(encoding="utf-8")
    made_from = [grammar, _lark_itself()]
    path = _cache_path(made_from)
    if path is None:
        return build_table(grammar)
    with contextlib.suppress(OSError, ValueError, TypeError, KeyError):
        kept = json.loads(path.read_bytes())
        if kept["made from"] == made_from:
            states, rules, start, end = kept["table"]
            made = [Rule(origin, size, name, tuple(spliced), only) for origin, size, name, spliced, only in rules]
            return Table(states, made, start, end)
    table = build_table(grammar)
    with contextlib.suppress(OSError):
        _keep(path, json.dumps({"made from": made_from, "table": table}))
    return table


def build_table(grammar: str) -> Table:
    """What lark makes of a grammar."""
    import lark

    made = lark.Lark(grammar, parser="lalr", lexer=no_lexer(), maybe_placeholders=False, start=START)
    table: Any = made.parser.parser._parse_table
    rules: dict[Any, int] = {}
    states = [
        {
            symbol: next_ if type(next_) is int else ~rules.setdefault(next_, len(rules))
            for symbol, (_, next_) in table.states[state].items()
        }
        for state in range(len(table.states))
    ]
    return Table(states, [_rule(rule) for rule in rules], table.start_states[START], table.end_states[START])


def _rule(rule: Any) -> Rule:
    origin = str(rule.origin.name)
    helper = origin.startswith("_")
    spliced = tuple(
        place for place, symbol in enumerate(rule.expansion) if not symbol.is_term and symbol.name.startswith("_")
    )
    method = "" if helper else str(rule.alias or origin)
    return Rule(origin, len(rule.expansion), method, spliced, rule.options.expand1 and not rule.alias)


def no_lexer() -> Any:
    """What lark has to be given in place of a lexer: the adapter's tokens are ready."""
    from lark.lexer import Lexer

    class NoLexer(Lexer):
        __future_interface__ = 2

        def __init__(self, conf: Any) -> None:
            pass

        def lex(self, lexer_state: Any, parser_state: Any) -> Iterator[Any]:
            yield from lexer_state.text

    return NoLexer


def _lark_itself() -> str:
    """What says which lark is installed, without loading it: the text of the file that has its version."""
    found = find_spec("lark")
    if found is None or found.origin is None:
        return ""
    try:
        return Path(found.origin).read_text(encoding="utf-8")
    except (OSError, ValueError):
        return ""


def _cache_path(made_from: list[str]) -> Path | None:
    """A name of its own for each version, so that two of them in use don't write in turn."""
    name = f"lilypond-{crc32(repr(made_from).encode()):08x}.json"
    home = os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
    return Path(home) / "lyfinger" / name if os.path.isabs(home) else None


def _keep(path: Path, text: str) -> None:
    """Write the file whole or not at all: several runs may do so at once. Raises OSError."""
    import tempfile

    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=path.name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        os.replace(name, path)
    except OSError:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
