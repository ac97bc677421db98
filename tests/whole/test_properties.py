"""What holds of any music: it is read as it was written, marked without a loss, and marked the same again."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from tests.referee.agreement import compare
from tests.referee.events import rule
from tests.strategies import Piece, Written, gaps, pieces

from .command import PROJECT, lyfinger, marked, notes_in, notes_of
from .insertions import assert_only_digits_added, inserted

any_music = settings(
    deadline=None,
    derandomize=True,
    database=None,
    max_examples=int(os.environ.get("LYFINGER_PIECES", "25")),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example],
)


def _read(source: str) -> Counter[Written]:
    return Counter(
        Written(
            note["staff"],
            note["pitch"]["step"],
            note["pitch"]["alter"],
            note["pitch"]["octave"],
            Fraction(note["moment"]),
            Fraction(note["grace"]),
            Fraction(note["duration"]),
            note["tied"],
            note["finger"] if note["origin"] == "locked" else None,
        )
        for note in notes_in(source)
    )


@any_music
@given(pieces(), gaps)
def test_notes_are_those_that_were_written(piece: Piece, between: list[str]) -> None:
    assert _read(piece.source(between)) == Counter(piece.notes)


@any_music
@given(pieces(), gaps)
def test_marked_is_the_source_and_digits_and_marked_again_the_same(piece: Piece, between: list[str]) -> None:
    """Locked digits are bytes of the source, so they are kept, each at its note."""
    source = piece.source(between).encode()
    after = marked(source)
    assert_only_digits_added(source, after)
    assert marked(after) == after
    assert marked(source) == after
    locked = Counter(note._replace(finger=None) for note in piece.notes if note.finger)
    now = _read(after.decode())
    for note in piece.notes:
        assert note.finger is None or now[note] >= 1
    assert sum(locked.values()) <= sum(note.finger is not None for note in now.elements())


@any_music
@given(pieces(locks=False), gaps)
def test_clearing_undoes_marking(piece: Piece, between: list[str]) -> None:
    source = piece.source(between).encode()
    after = marked(source)
    assert _cleared(after) == source
    assert _cleared(source) == source


@any_music
@given(pieces())
def test_clearing_takes_locked_digits_too(piece: Piece) -> None:
    source = piece.source().encode()
    bare = _cleared(source)
    assert _cleared(marked(source)) == bare
    assert _read(bare.decode()) == Counter(note._replace(finger=None) for note in piece.notes)


def _cleared(data: bytes) -> bytes:
    result = lyfinger("clear", "-", "--stdin-filename", "test.ly", stdin=data)
    assert result.status == 0, result.err
    return result.out


@any_music
@given(pieces(), gaps, gaps)
def test_blanks_and_comments_change_no_digit(piece: Piece, one: list[str], other: list[str]) -> None:
    assert _digits(piece.source(one).encode()) == _digits(piece.source(other).encode())


def _digits(source: bytes) -> list[bytes]:
    return [digit for _, digit in inserted(source, marked(source))]


@cache
def some_pieces() -> tuple[Piece, ...]:
    """Two dozen pieces by chance, of some length; always the same ones."""
    found: list[Piece] = []

    @settings(any_music, max_examples=24)
    @given(pieces().filter(lambda piece: len(piece.notes) > 12))
    def gather(piece: Piece) -> None:
        found.append(piece)

    gather()
    return tuple(found)


@pytest.fixture(scope="module")
def scores(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[Piece, Path]]:
    """A dozen of them as files."""
    folder = tmp_path_factory.mktemp("pieces")
    written = []
    for number, piece in enumerate(some_pieces()[:12]):
        path = folder / f"piece-{number}.ly"
        path.write_text(piece.source())
        written.append((piece, path))
    return written


def test_the_same_bytes_whatever_the_hash_seed(scores: list[tuple[Piece, Path]]) -> None:
    def tree(seed: str) -> dict[str, bytes]:
        out = scores[0][1].parent / f"out-{seed}"
        names = [path.name for _, path in scores]
        subprocess.run(
            [sys.executable, "-m", "lyfinger", "mark", *names, "--output-dir", out.name, "--root", "."],
            cwd=out.parent,
            env={**os.environ, "PYTHONPATH": str(PROJECT), "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
        )
        return {path.name: path.read_bytes() for path in out.glob("*.ly")}

    assert tree("1") == tree("77") == tree("4242")
    assert len(tree("1")) == len(scores)


def test_the_typesetter_reads_them_so_too(scores: list[tuple[Piece, Path]]) -> None:
    """What was written, what is read, and what is printed by the typesetter (2.25.12) are one."""
    for piece, path in scores[:6]:
        ruling = rule(path)
        assert not ruling.errors
        agreement = compare(notes_of(path), ruling.scores)
        assert agreement.exact, agreement.explain()
        assert agreement.agreed == len(piece.notes)


def test_there_is_everything_in_them() -> None:
    """By chance, and soon: each construct, each language, locked digits and none."""
    words = Counter(word for piece in some_pieces() for word in set(piece.words))
    for word in (
        "\\relative",
        "\\tuplet",
        "\\grace",
        "unfold",
        "volta",
        "\\motifA",
        "\\motifB",
        "\\\\",
        "<<",
        "\\voices",
    ):
        assert words[word] >= 3, word
    assert any(word.startswith("<") and len(word) > 2 for word in words)
    assert any("~" in word for word in words)
    assert all(words[f'"{language}"'] for language in ("nederlands", "english", "italiano", "deutsch"))
    assert any("tweak" in word for word in words)
