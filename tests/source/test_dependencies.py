"""Dependency files as the build tools read them: make and ninja themselves say what they have understood."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from lyfinger.source.dependencies import Rule, rules_text
from lyfinger.source.messages import Refused

NINJA = [sys.executable, "-m", "ninja"]

BOTH = [
    "plain.ly",
    "two words.ly",
    "a#b.ly",
    "a$b$$c.ly",
    "a:b.ly",
    "a%b.ly",
    "a\\b.ly",
    "a\\ b.ly",
    "a\\\\ b.ly",
    "Étude à deux.ly",
    "[1].ly",
    "(x).ly",
    "a,b@c+d!.ly",
    "include x.ly",
]
MAKE_ALONE = ["King's.ly", 'a"b.ly', "a&b.ly", "a\\#b.ly", "a*b.ly", "a?b.ly", "a<b.ly", "~x.ly"]
NEITHER = ["a\nb.ly", "a\tb.ly", "a;b.ly", "a|b.ly", "a=b.ly", "end\\", "end&"]


def _made(folder: Path) -> bool:
    """Whether make brought its target up to date just now."""
    done = subprocess.run(["make", "-s"], cwd=folder, capture_output=True, check=True, text=True)
    return "made" in done.stdout


@pytest.mark.parametrize("name", [*BOTH, *MAKE_ALONE])
def test_make_hangs_its_target_on_the_file(tmp_path: Path, name: str) -> None:
    (tmp_path / "Makefile").write_text("out:\n\t@touch out; echo made\n-include rules\n")
    (tmp_path / "rules").write_bytes(rules_text([Rule(("out",), (name,))]))
    (tmp_path / name).touch()
    os.utime(tmp_path / name, (1000, 1000))
    assert _made(tmp_path)
    assert not _made(tmp_path)
    os.utime(tmp_path / "out", (500, 500))
    assert _made(tmp_path)
    (tmp_path / name).unlink()
    assert _made(tmp_path)  # and does not stop because nothing makes the file


@pytest.mark.parametrize("name", BOTH)
def test_ninja_reads_the_same_name(tmp_path: Path, name: str) -> None:
    (tmp_path / "build.ninja").write_text(
        "rule copy\n  command = cp rules out.d && touch out\n  depfile = out.d\n  deps = gcc\nbuild out: copy\n"
    )
    (tmp_path / "rules").write_bytes(rules_text([Rule(("out",), (name, "other.ly"))]))
    subprocess.run(NINJA, cwd=tmp_path, capture_output=True, check=True)
    told = subprocess.run([*NINJA, "-t", "deps", "out"], cwd=tmp_path, capture_output=True, check=True, text=True)
    assert [line.strip() for line in told.stdout.splitlines()[1:] if line] == [name, "other.ly"]


@pytest.mark.parametrize("name", NEITHER)
def test_a_name_that_make_cant_read_is_refused(name: str) -> None:
    with pytest.raises(Refused, match="make can't read this name"):
        rules_text([Rule(("out",), (name,))])


def test_a_target_does_not_depend_on_itself() -> None:
    text = rules_text([Rule(("out.ly",), ("in.ly", "out.ly"))])
    assert text == b"out.ly: \\\n in.ly\n\nin.ly:\n"
