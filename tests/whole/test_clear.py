"""Marked and cleared again is cleared at once, over every fixture and sample: what went in comes out."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from .command import ENSEMBLE, READING, SAMPLES, lyfinger


def cleared(data: bytes, path: Path, *options: str) -> bytes:
    """What is left of a source that stands in for a file."""
    result = lyfinger("clear", "-", "--stdin-filename", path, *options, stdin=data)
    assert result.status == 0, result.err
    return result.out


@pytest.mark.parametrize("path", READING, ids=lambda path: path.stem)
def test_what_a_marking_puts_in_comes_out_again(path: Path) -> None:
    marked = lyfinger("mark", "-", "--stdin-filename", path, stdin=path.read_bytes())
    assert marked.status == 0, marked.err
    assert cleared(marked.out, path) == cleared(path.read_bytes(), path)


def test_the_samples_too_as_a_tree(tmp_path: Path) -> None:
    shutil.copytree(SAMPLES, tmp_path / "bare")
    assert lyfinger("clear", *ENSEMBLE, "--in-place", folder=tmp_path / "bare").status == 0
    shutil.copytree(tmp_path / "bare", tmp_path / "marked")
    assert lyfinger("mark", *ENSEMBLE, "--in-place", folder=tmp_path / "marked").status == 0
    names = [path.relative_to(SAMPLES) for path in SAMPLES.rglob("*.?ly") if "Teaching" not in path.parts]
    names += [path.relative_to(SAMPLES) for path in SAMPLES.rglob("*.ly") if "Teaching" not in path.parts]
    different = [name for name in names if _bytes(tmp_path, "bare", name) != _bytes(tmp_path, "marked", name)]
    assert different
    assert lyfinger("clear", *ENSEMBLE, "--in-place", folder=tmp_path / "marked").status == 0
    assert [name for name in names if _bytes(tmp_path, "bare", name) != _bytes(tmp_path, "marked", name)] == []


def _bytes(folder: Path, tree: str, name: Path) -> bytes:
    return (folder / tree / name).read_bytes()
