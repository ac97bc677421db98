"""README.md and the program say the same: the excerpt, the commands and options, the settings, the rules of check."""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from lyfinger.checking.registry import RULES
from lyfinger.cli.options import build_parser
from lyfinger.config import load_config
from lyfinger.harp.profile import HARPS

PROJECT = Path(__file__).parent.parent
README = (PROJECT / "README.md").read_text(encoding="utf-8")
SAMPLE = PROJECT / "samples" / "Parts" / "lantern-walk.ly"


def _fenced(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def _lines(source: str) -> list[str]:
    return [line.strip() for line in source.splitlines()]


def test_the_excerpt_is_what_the_program_makes_of_the_sample() -> None:
    before, after = map(_lines, _fenced("lilypond"))
    command = [sys.executable, "-m", "lyfinger", "mark", str(SAMPLE)]
    marked = _lines(subprocess.run(command, cwd=PROJECT, capture_output=True, check=True, text=True).stdout)
    source = _lines(SAMPLE.read_text(encoding="utf-8"))
    start = source.index(before[0])
    assert [marked[source.index(line, start)] for line in before] == after


def _options() -> set[str]:
    actions = build_parser()._actions
    commands = next(action for action in actions if isinstance(action, argparse._SubParsersAction)).choices
    found = {f"lyfinger {name}" for name in commands}
    for parser in commands.values():
        found |= {action.option_strings[-1] for action in parser._actions if action.option_strings}
    return found - {"--help", "--output"} | {"-o OUT"}


@pytest.mark.parametrize("name", sorted(_options()))
def test_every_command_and_option_is_explained(name: str) -> None:
    assert f"`{name}" in README


@pytest.mark.parametrize("name", [rule.name for rule in RULES])
def test_every_rule_of_the_check_is_listed(name: str) -> None:
    assert f"`{name}`" in README


def test_the_settings_are_accepted_and_complete(tmp_path: Path) -> None:
    sections: set[str] = set()
    for text in _fenced("toml"):
        path = tmp_path / "lyfinger.toml"
        path.write_text(text, encoding="utf-8")
        load_config(path)
        sections |= set(tomllib.loads(text))
    assert sections == {"hand", "level", "include", "hands", "tempo", "harp", "rules", "check"}
    assert all(name in README for name in HARPS)


def test_local_links_and_files_exist() -> None:
    named = re.findall(r"\]\((?!https?:)([^)#]+)\)|`(samples/[\w./-]+)`|`([A-Z]+(?:\.md)?)`", README)
    paths = {path for found in named for path in found if path and ("/" in path or path.endswith(".md"))}
    assert paths
    assert not [path for path in paths if not (PROJECT / path).exists()]
