"""The shape of the code: imports go one way, modules stay small, and what is public says what it does."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "lyfinger"
MODULES = sorted(PACKAGE.rglob("*.py"))
MOST_LINES = 430
MOST_LINES_OF_A_FUNCTION = 60

#: The journey of the data, one step a row: a package imports from its own row's left only, and from itself.
ORDER = (
    "choices",
    "together",
    "source",
    "config",
    "score",
    "reading",
    "hands",
    "harp",
    "pedals",
    "fingering",
    "marking",
    "checking",
    "explaining",
    "editor",
    "proofing",
    "api",
    "cli",
    "__main__",
)
#: What a package leaves alone although it stands before it: the search and the harp know nothing of LilyPond.
NOT_ITS_BUSINESS = {
    "reading": {"config"},
    "hands": {"config", "reading"},
    "harp": {"config", "reading", "hands", "source"},
    "pedals": {"config"},
    "fingering": {"config", "reading", "hands", "source", "pedals"},
    "checking": {"config", "reading"},
    "explaining": {"config", "reading"},
    "proofing": {"config", "reading", "editor"},
}


def _name(path: Path) -> str:
    return path.relative_to(PACKAGE).with_suffix("").as_posix()


def _package_of(path: Path) -> str:
    return path.relative_to(PACKAGE).with_suffix("").parts[0]


def _imported_packages(path: Path) -> set[str]:
    """The packages of lyfinger that a module imports, at its top or inside a function."""
    here = ("lyfinger", *path.relative_to(PACKAGE).parts[:-1])
    found = set()
    for node in ast.walk(ast.parse(path.read_bytes())):
        if isinstance(node, ast.ImportFrom):
            base = here[: len(here) - node.level + 1] if node.level else ()
            module = (*base, *(node.module.split(".") if node.module else ()))
            targets = [module] if node.module or not node.level else [(*module, alias.name) for alias in node.names]
        elif isinstance(node, ast.Import):
            targets = [tuple(alias.name.split(".")) for alias in node.names]
        else:
            continue
        found |= {target[1] for target in targets if target[0] == "lyfinger" and len(target) > 1}
    return found - {"__version__"}


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_imports_go_one_way(path: Path) -> None:
    package = _package_of(path)
    if package == "__init__":
        assert _imported_packages(path) <= {"api"}
        return
    allowed = set(ORDER[: ORDER.index(package) + 1]) - NOT_ITS_BUSINESS.get(package, set())
    assert _imported_packages(path) <= allowed


def test_every_package_has_its_place() -> None:
    assert {_package_of(path) for path in MODULES} - {"__init__"} == set(ORDER)


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_modules_stay_small(path: Path) -> None:
    assert len(path.read_bytes().splitlines()) <= MOST_LINES


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_functions_stay_short(path: Path) -> None:
    functions = (node for node in ast.walk(ast.parse(path.read_bytes())) if isinstance(node, ast.FunctionDef))
    lengths = {node.name: (node.end_lineno or 0) - node.lineno + 1 for node in functions}
    assert {name: length for name, length in lengths.items() if length > MOST_LINES_OF_A_FUNCTION} == {}


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_what_is_public_says_what_it_does(path: Path) -> None:
    """Modules have docstrings, and so have public functions and methods.

    What is one statement may speak for itself, and so may a property or a method that a base class explains.
    """
    tree = ast.parse(path.read_bytes())
    assert ast.get_docstring(tree), "the module has no docstring"
    assert not _undocumented(tree.body)


def _undocumented(body: list[ast.stmt]) -> list[str]:
    missing = []
    for node in body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_") and not node.bases:
            missing += [f"{node.name}.{name}" for name in _undocumented(node.body)]
        elif isinstance(node, ast.FunctionDef) and _owes_a_docstring(node) and not ast.get_docstring(node):
            missing.append(node.name)
    return missing


def _owes_a_docstring(node: ast.FunctionDef) -> bool:
    return not node.name.startswith("_") and not _is_property(node) and len(node.body) > 1


def _is_property(node: ast.FunctionDef) -> bool:
    names = {getattr(item, "id", getattr(item, "attr", "")) for item in node.decorator_list}
    return bool(names & {"property", "cached_property"})


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_no_module_is_a_drawer_for_everything(path: Path) -> None:
    assert path.stem not in {"utils", "util", "helpers", "common", "misc"}
