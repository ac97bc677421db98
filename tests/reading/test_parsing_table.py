"""The automaton against lark's own parser: the same trees, the same builder called, an error at the same token.

The source of every expectation is lark itself, an independent implementation, on the same grammar and tokens.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import lark
import pytest
from lark.exceptions import UnexpectedToken

from lyfinger.reading import table
from lyfinger.reading.adapter import Adapter
from lyfinger.reading.automaton import Automaton, Unexpected
from lyfinger.reading.builder import Builder
from lyfinger.reading.environment import Environment, Fault
from lyfinger.reading.stream import Sources
from lyfinger.reading.table import build_table, no_lexer, parsing_table
from lyfinger.reading.tokens import Tok
from lyfinger.reading.vocabulary import grammar_file
from lyfinger.source.library import Library

PROJECT = Path(__file__).resolve().parents[2]
SOURCES = sorted([*(PROJECT / "tests/fixtures/reading").glob("*.ly"), *(PROJECT / "samples").rglob("*.ly")])
GRAMMAR = grammar_file("lilypond.lark").read_text(encoding="utf-8")


class LarkToken:
    """A token with all that lark wants to know of one."""

    line = column = end_line = end_column = start_pos = end_pos = None

    def __init__(self, token: Tok) -> None:
        self.type, self.token = token.type, token


class LarkBuilder(lark.Transformer):  # type: ignore[type-arg]
    """Hands the rules of lark to our builder."""

    def __init__(self) -> None:
        super().__init__()
        self.builder = Builder()

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_") or not hasattr(Builder, name):
            raise AttributeError(name)
        return lambda parts: getattr(self.builder, name)([getattr(part, "token", part) for part in parts])


@cache
def automaton() -> tuple[Automaton, Builder]:
    builder = Builder()
    return Automaton(build_table(GRAMMAR), builder), builder


@cache
def by_lark() -> tuple[Any, Builder]:
    transformer = LarkBuilder()
    options: dict[str, Any] = {"parser": "lalr", "lexer": no_lexer(), "maybe_placeholders": False}
    return lark.Lark(GRAMMAR, transformer=transformer, **options), transformer.builder


def tokens_of(path: Path) -> list[Tok]:
    library = Library(directory=path.parent)
    return Adapter(Sources(), library.root(path.name), library).run()


def ours(tokens: list[Tok]) -> object:
    parser, builder = automaton()
    builder.environment = Environment()
    try:
        return plain(parser.parse(tokens))
    except Unexpected as error:
        return ("unexpected", error.index)
    except Fault as error:
        return ("fault", error.offset)


def larks(tokens: list[Tok]) -> object:
    parser, builder = by_lark()
    builder.environment = Environment()
    given = [LarkToken(token) for token in tokens]
    try:
        return plain(parser.parse(given))
    except UnexpectedToken as error:
        place = next((index for index, token in enumerate(given) if token is error.token), len(given))
        return ("unexpected", place)
    except Fault as error:
        return ("fault", error.offset)


def slots_of(kind: type) -> list[str]:
    """What a node is made of; nothing for what is no node."""
    own = (vars(base).get("__slots__", ()) for base in kind.__mro__ if base.__module__.startswith("lyfinger."))
    return [name for names in own for name in names]


def plain(node: Any) -> object:
    """A tree of the builder as tuples that can be compared."""
    if isinstance(node, list | tuple):
        return (type(node).__name__, *map(plain, node))
    if isinstance(node, Tok):
        return (node.type, plain(node.value), node.start_pos, node.end_pos)
    if isinstance(node, LarkToken):
        return plain(node.token)
    if names := slots_of(type(node)):
        return (type(node).__name__, *(plain(getattr(node, name)) for name in names))
    return node


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.stem)
def test_the_automaton_parses_as_lark_does(path: Path) -> None:
    tokens = tokens_of(path)
    assert ours(tokens) == larks(tokens)


def damaged(rng: Random, tokens: list[Tok]) -> list[Tok]:
    """Tokens with one taken out, doubled, moved, or all cut off behind it."""
    at, to = rng.randrange(len(tokens)), rng.randrange(len(tokens))
    changed = list(tokens)
    match rng.randrange(4):
        case 0:
            del changed[at]
        case 1:
            changed.insert(to, tokens[at])
        case 2:
            changed[at], changed[to] = changed[to], changed[at]
        case _:
            del changed[at:]
    return changed


def test_errors_are_where_lark_has_them() -> None:
    rng = Random("damaged")
    whole = [tokens_of(path) for path in SOURCES]
    outcomes = set()
    for tokens in whole * 4:
        changed = damaged(rng, tokens)
        found = ours(changed)
        assert found == larks(changed)
        outcomes.add(found[0] if isinstance(found, tuple) and found and found[0] == "unexpected" else "parsed")
    assert outcomes == {"unexpected", "parsed"}


def test_every_rule_has_its_method() -> None:
    methods = {rule.method for rule in build_table(GRAMMAR).rules if rule.method and not rule.only}
    assert methods <= set(dir(Builder))


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The cache folder, empty."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "lyfinger"


def unbuilt(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Which grammars are given to lark from now on."""
    given: list[str] = []

    def build(grammar: str) -> table.Table:
        given.append(grammar)
        return build_table(grammar)

    monkeypatch.setattr(table, "build_table", build)
    return given


def test_the_kept_table_is_larks(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    given = unbuilt(monkeypatch)
    made = parsing_table()
    assert given == [GRAMMAR]
    assert parsing_table() == made
    assert given == [GRAMMAR]
    assert [path.suffix for path in kept.iterdir()] == [".json"]


@pytest.mark.parametrize("damage", ["", "{", "[]", "{}", '{"made from": 1}', "\x00", "null"])
def test_a_damaged_table_is_made_anew(kept: Path, monkeypatch: pytest.MonkeyPatch, damage: str) -> None:
    made = parsing_table()
    [path] = kept.iterdir()
    path.write_text(damage)
    given = unbuilt(monkeypatch)
    assert sorted(parsing_table().rules) == sorted(made.rules)
    assert given == [GRAMMAR]
    assert json.loads(path.read_bytes())["made from"][0] == GRAMMAR


def test_a_table_of_another_grammar_or_lark_does_not_count(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    parsing_table()
    [path] = kept.iterdir()
    data = json.loads(path.read_bytes())
    given = unbuilt(monkeypatch)
    for place in range(2):
        other = [text + ("" if index != place else " ") for index, text in enumerate(data["made from"])]
        path.write_text(json.dumps({**data, "made from": other}))
        parsing_table()
    assert given == [GRAMMAR, GRAMMAR]
    monkeypatch.setattr(table, "_lark_itself", lambda: "another lark")
    parsing_table()
    assert given == [GRAMMAR] * 3


def test_without_a_folder_to_keep_it_in_the_table_is_made(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept.parent.mkdir()
    kept.write_text("a file where the folder should be")
    given = unbuilt(monkeypatch)
    assert parsing_table().rules
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    monkeypatch.setenv("HOME", "")
    assert parsing_table().rules
    assert len(given) == 2
