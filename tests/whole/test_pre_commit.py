"""The hooks of ``.pre-commit-hooks.yaml``, run by pre-commit in a score repository.

Here they run the lyfinger that is being tested; ``.ci/run`` lets pre-commit install it by itself.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from .command import PROJECT

SOUND = b"\\version \"2.24.0\"\n\\new Staff = \"RH\" { c'4 d' e' f' }\n"
MARKED = b"\\version \"2.24.0\"\n\\new Staff = \"RH\" { c'4^4 d'^3 e'^2 f'^1 }\n"
WRONG = b'\\version "2.24.0"\n\\new Staff = "RH" { <c\'-1 e\'-1>1 }\n'

_CONFIG = """\
repos:
- repo: {repository}
  rev: {revision}
  hooks:
  - {{id: lyfinger-check, language: system}}
  - {{id: lyfinger-mark, language: system}}
"""


def _git(folder: Path, *arguments: str) -> str:
    who = ["-c", "user.name=A Harpist", "-c", "user.email=harpist@example.invalid", "-c", "commit.gpgsign=false"]
    return subprocess.run(["git", *who, *arguments], cwd=folder, check=True, capture_output=True, text=True).stdout


def _commit(folder: Path) -> str:
    _git(folder, "add", "-A")
    _git(folder, "commit", "-q", "-m", "all")
    return _git(folder, "rev-parse", "HEAD").strip()


@pytest.fixture
def scores(tmp_path: Path) -> Path:
    """A repository with scores, set up for the hooks of a repository that has this tree's."""
    hooks, scores = tmp_path / "hooks", tmp_path / "scores"
    for folder in (hooks, scores, tmp_path / "bin"):
        folder.mkdir()
    for folder in (hooks, scores):
        _git(folder, "init", "-q")
    shutil.copy(PROJECT / ".pre-commit-hooks.yaml", hooks)
    revision = _commit(hooks)
    (scores / ".pre-commit-config.yaml").write_text(_CONFIG.format(repository=hooks, revision=revision))
    program = tmp_path / "bin" / "lyfinger"
    program.write_text(f"#!{sys.executable}\nimport sys\nfrom lyfinger.cli.main import main\nsys.exit(main())\n")
    program.chmod(0o755)
    return scores


def _hooks(scores: Path, *arguments: str) -> tuple[int, str]:
    environment = {
        **os.environ,
        "PATH": f"{scores.parent / 'bin'}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": str(PROJECT),
        "PRE_COMMIT_HOME": str(scores.parent / "cache"),
        "PRE_COMMIT_COLOR": "never",
    }
    command = [sys.executable, "-m", "pre_commit", "run", *arguments]
    done = subprocess.run(command, cwd=scores, env=environment, capture_output=True, text=True, timeout=120)
    return done.returncode, done.stdout + done.stderr


def test_marked_scores_pass(scores: Path) -> None:
    (scores / "a.ly").write_bytes(MARKED)
    (scores / "notes.ily").write_bytes(b"{ this is no root")
    _git(scores, "add", "-A")
    status, out = _hooks(scores)
    assert status == 0, out
    assert [line.split(".")[-1] for line in out.splitlines() if line.startswith("lyfinger")] == ["Passed", "Passed"]


def test_what_is_not_marked_or_cant_be_played_stops_the_commit(scores: Path) -> None:
    (scores / "a.ly").write_bytes(SOUND)
    (scores / "b.ly").write_bytes(WRONG)
    _commit(scores)
    status, out = _hooks(scores, "--all-files")
    assert status == 1
    assert "b.ly:2:22: error: " in out
    assert "+\\new Staff = \"RH\" { c'4^4 d'^3 e'^2 f'^1 }" in out
    assert (scores / "a.ly").read_bytes() == SOUND
    assert _hooks(scores, "lyfinger-check", "--files", "a.ly")[0] == 0
    assert _hooks(scores, "lyfinger-mark", "--files", "b.ly")[0] == 0
