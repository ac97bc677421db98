"""README.md and the program say the same: the excerpt, the commands and options, the settings, the rules of check."""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from lyfinger import __version__
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
    wanted = {"hand", "level", "include", "hands", "tempo", "harp", "pedals", "rules", "check", "print"}
    assert sections == wanted
    assert all(name in README for name in HARPS)


def test_local_links_and_files_exist() -> None:
    named = re.findall(r"\]\((?!https?:)([^)#]+)\)|`(samples/[\w./-]+)`|`([A-Z]+(?:\.md)?)`", README)
    paths = {path for found in named for path in found if path and ("/" in path or path.endswith(".md"))}
    assert paths
    assert not [path for path in paths if not (PROJECT / path).exists()]


def test_the_python_example_runs(tmp_path: Path) -> None:
    music = "\\new Staff = RH \\relative { \\repeat unfold 16 { c'4 e g c, } }\n"
    for name in ("Parts/harp.ly", "Scores/full.ly"):
        (tmp_path / name).parent.mkdir()
        (tmp_path / name).write_text(music, encoding="utf-8")
    (example,) = _fenced("python")
    environment = {**os.environ, "PYTHONPATH": str(PROJECT)}
    command = [sys.executable, "-c", example]
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, check=True, text=True)
    assert done.stdout.startswith("Parts/harp.ly 4 ")
    assert "draft.ly:1:12: error: " in done.stdout


def test_the_rules_for_make_are_those_of_the_samples() -> None:
    (shown,) = _fenced("make")
    makefile = (PROJECT / "samples" / "Makefile").read_text(encoding="utf-8")
    makefile = makefile.replace("$(ENSEMBLE_MARKED)", "build/ensemble.marked").replace("$(LYFINGER)", "lyfinger")
    rules = {line.removesuffix(" | build/ensemble.marked") for line in makefile.splitlines()}
    assert set(shown.splitlines()) <= rules


def test_the_hooks_are_those_that_there_are() -> None:
    (shown,) = _fenced("yaml")
    there = (PROJECT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8")
    found = re.findall(r"- id: (\S+)", shown)
    assert found
    assert found == re.findall(r"^- id: (\S+)", there, re.MULTILINE)
    assert f"rev: v{__version__}" in shown
