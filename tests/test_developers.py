"""DEVELOPERS.md speaks of what there is: its files, modules, functions and classes."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

import lyfinger

PROJECT = Path(__file__).parent.parent
TEXT = re.sub(r"^    .*$", "", (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8"), flags=re.MULTILINE)
WORDS = sorted(set(re.findall(r"`([^`\s]+)`", TEXT)))
PLACES = ("lyfinger", "grammar", "tests", "samples", ".")
FILE_NAME = re.compile(r"[\w./-]*\w\.(?:py|lark|json|ily|js|css|toml|txt|svg)")
FOLDER_NAME = re.compile(r"[\w./-]+/")
DOTTED_NAME = re.compile(r"(?:\w+/)*([a-z]\w*)\.(_?[A-Za-z]\w*)")
CLASS_NAME = re.compile(r"[A-Z][a-z]\w*(?:[A-Z]\w*)?")
#: What a user has, or a build makes.
NOT_OURS = {"lyfinger.toml", "dist/"}


@cache
def _files() -> frozenset[str]:
    found = (path.relative_to(PROJECT).as_posix() for place in PLACES[:-1] for path in (PROJECT / place).rglob("*.*"))
    return frozenset({*found, *(path.name for path in PROJECT.iterdir())})


@cache
def _defined(module: str) -> frozenset[str]:
    """What modules of a name define at their top, or in a class there."""
    names: set[str] = set()
    for path in (path for place in ("lyfinger", "tests") for path in (PROJECT / place).rglob(f"{module}.py")):
        for node in ast.walk(ast.parse(path.read_bytes())):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                names.add(node.name)
            elif isinstance(node, ast.AnnAssign | ast.Assign):
                targets = node.targets if isinstance(node, ast.Assign) else [node.target]
                names.update(target.id for target in targets if isinstance(target, ast.Name))
    return frozenset(names)


def _named(pattern: re.Pattern[str]) -> list[str]:
    return [word for word in WORDS if pattern.fullmatch(word) and word not in NOT_OURS]


@pytest.mark.parametrize("name", _named(FILE_NAME))
def test_files_exist(name: str) -> None:
    assert any(file == name or file.endswith(f"/{name}") for file in _files())


@pytest.mark.parametrize("name", _named(FOLDER_NAME))
def test_folders_exist(name: str) -> None:
    assert any((PROJECT / place / name).is_dir() for place in PLACES)


@pytest.mark.parametrize("name", [name for name in _named(DOTTED_NAME) if not FILE_NAME.fullmatch(name)])
def test_functions_exist(name: str) -> None:
    found = DOTTED_NAME.fullmatch(name)
    assert found is not None
    assert hasattr(lyfinger, found[2]) if found[1] == "lyfinger" else found[2] in _defined(found[1])


@pytest.mark.parametrize("name", _named(CLASS_NAME))
def test_classes_exist(name: str) -> None:
    assert name in _defined("*")
