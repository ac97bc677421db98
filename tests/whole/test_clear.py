"""Marked and cleared again is cleared at once, over every fixture and sample: what went in comes out."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

import pytest

from .command import ENSEMBLE, READING, SAMPLES, TEACHING, lyfinger


def cleared(data: bytes, path: Path, *options: str) -> bytes:
    """What is left of a source that stands in for a file."""
    result = lyfinger("clear", "-", "--stdin-filename", path, *options, stdin=data)
    assert result.status == 0, result.err
    return result.out


STYLES = {
    "digits": (),
    "needed, with all signs": ("--density", "needed", "--slides", "--crossings", "--hand-signs", "--brackets"),
    "placings beside chords, bracketed": ("--density", "placings", "--chords", "left", "--brackets"),
    "all": ("--chords", "left", "--slides", "--crossings", "--hand-signs", "--brackets"),
}
"""Every value of every option of the page, though not each with each."""


@pytest.mark.parametrize("path", READING, ids=lambda path: path.stem)
@pytest.mark.parametrize("style", ["digits", "all"])
def test_what_a_marking_puts_in_comes_out_again(path: Path, style: str) -> None:
    marked = lyfinger("mark", "-", "--stdin-filename", path, *STYLES[style], stdin=path.read_bytes())
    assert marked.status == 0, marked.err
    assert lyfinger("mark", "-", "--stdin-filename", path, *STYLES[style], stdin=marked.out).out == marked.out
    assert cleared(marked.out, path) == cleared(path.read_bytes(), path)


@pytest.mark.parametrize("style", STYLES.values(), ids=list(STYLES))
@pytest.mark.parametrize("shelf", [ENSEMBLE, TEACHING], ids=["ensemble", "teaching"])
def test_the_samples_too_as_a_tree(shelf: Sequence[str], style: Sequence[str], tmp_path: Path) -> None:
    """Cleared of what the engravers wrote, marked, marked once more, and cleared: what there was before."""
    bare, once, twice = (tmp_path / name for name in ("bare", "once", "twice"))
    shutil.copytree(SAMPLES, bare)
    assert lyfinger("clear", *shelf, "--in-place", folder=bare).status == 0
    before = _bytes(bare)
    for tree, source in ((once, bare), (twice, once)):
        shutil.copytree(source, tree)
        assert lyfinger("mark", *shelf, *style, "--in-place", folder=tree).status == 0
    assert _bytes(bare) == before != _bytes(once) == _bytes(twice)
    assert lyfinger("clear", *shelf, "--in-place", folder=twice).status == 0
    assert _bytes(twice) == before


def _bytes(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.*ly")}
