"""An edit changes no digit outside its phrase; the same phrase gets the same digits; nothing else counts.

Phrases lie between the free lifts of a hand. What hangs together with them (a repeat, a source note that sounds in
several places) may change with them.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from .command import ENSEMBLE, PROJECT, SAMPLES, TEACHING, lyfinger, marked
from .insertions import inserted
from .phrases import Piece, Where

PIECES = {
    "lantern": ("Parts/lantern-walk.ly",),
    "sailor": ("Parts/drunken-sailor.ly",),
    "ferry": ("Parts/ferry-harp.ly", "Scores/ferry.ly"),
    "teaching": ("Teaching/stepping-stones.ly",),
}
EDITS = 3
PLAIN = re.compile(r"[a-g](?![^\W\d_])")


@cache
def piece(name: str) -> Piece:
    return Piece.read(SAMPLES, *PIECES[name])


@cache
def edited(name: str, seed: int) -> tuple[Where, Piece]:
    """The piece with the letter of one random note changed so that no other note changes its pitch with it."""
    original, chance = piece(name), random.Random(f"{name} {seed}")
    notes = sorted(where for where in original.digits if PLAIN.match(original.text_at(where)))
    while True:
        where = chance.choice(notes)
        letter = chance.choice([letter for letter in "acdefg" if letter != original.text_at(where)[0]])
        other = original.with_letter(where, letter)
        changed = {key[3] for key, pitch in original.pitches.items() if other.pitches.get(key) != pitch}
        if changed == {where[1]}:
            return where, other


@pytest.mark.parametrize("seed", range(EDITS))
@pytest.mark.parametrize("name", PIECES)
def test_an_edit_stays_in_its_phrase(name: str, seed: int) -> None:
    original = piece(name)
    where, other = edited(name, seed)
    near = original.phrase_of(where) | other.phrase_of(where)
    assert where in near
    far = original.digits.keys() - near
    assert len(far) > len(original.digits) // 4, "the phrase is most of the piece: nothing is tested"
    changed = {note: (original.digits[note], other.digits.get(note)) for note in far}
    assert {note: pair for note, pair in changed.items() if pair[0] != pair[1]} == {}
    assert other.digits.keys() - near == far


def test_an_edit_does_change_digits_within_its_phrase() -> None:
    """Otherwise the test above says nothing."""
    edits = [(piece(name), edited(name, seed)[1]) for name in PIECES for seed in range(EDITS)]
    assert sum(other.digits != original.digits for original, other in edits) >= len(edits) // 2


# ---- the same phrase twice ----

HEAD = '\\version "2.24.0"\n\\new Staff = "RH" { \\time 4/4 \\tempo 4 = 90 '
LETTERS = "cdefgab"


def phrase(chance: random.Random) -> str:
    """Four bars of random eighths, chords and a long note."""
    words: list[str] = []
    at = chance.randrange(21, 30)
    for _ in range(12):
        at = min(max(at + chance.choice((-3, -2, -1, -1, 1, 1, 2, 3)), 19), 34)
        if chance.random() < 0.25:
            words += [f"<{spelled(at)} {spelled(at + 2)} {spelled(at + chance.choice((4, 5, 7)))}>4"]
        else:
            words += [f"{spelled(at)}8", f"{spelled(at + chance.choice((-1, 1, 2)))}8"]
    return " ".join(words)


def spelled(string: int) -> str:
    octave = string // 7 - 3
    return LETTERS[string % 7] + ("'" * octave if octave > 0 else "," * -octave)


@pytest.mark.parametrize("seed", range(6))
def test_the_same_phrase_written_out_twice(seed: int) -> None:
    chance = random.Random(seed)
    first, second = phrase(chance), phrase(chance)
    source = f"{HEAD}{first} r1 {second} r1 {first} r2 r {first} }}\n"
    digits = inserted(source.encode(), marked(source))
    offsets = [match.start() for match in re.finditer(re.escape(first), source)]
    copies = [[(at - start, digit) for at, digit in digits if start <= at <= start + len(first)] for start in offsets]
    assert len(copies) == 3
    assert len(copies[0]) >= 12
    assert copies[0] == copies[1] == copies[2]


def test_the_same_phrase_by_a_variable_and_written_out() -> None:
    chance = random.Random(7)
    first, second = phrase(chance), phrase(chance)
    source = f"tune = {{ {first} }}\n{HEAD}\\tune r1 {second} r1 {first} r1 \\tune }}\n"
    digits = inserted(source.encode(), marked(source))
    offsets = [match.start() for match in re.finditer(re.escape(first), source)]
    copies = [[(at - start, digit) for at, digit in digits if start <= at <= start + len(first)] for start in offsets]
    assert len(copies) == 2
    assert len(copies[0]) >= 12
    assert copies[0] == copies[1]


# ---- place and process ----


@pytest.mark.parametrize(("seed", "folder"), [("0", "a"), ("1", "with blanks and é/b"), ("4711", "a/deeper/still")])
def test_folder_and_hash_seed_change_no_byte(
    seed: str, folder: str, tmp_path: Path, reference: dict[str, bytes]
) -> None:
    work = tmp_path / folder
    shutil.copytree(SAMPLES, work)
    for shelf in (ENSEMBLE, TEACHING):
        subprocess.run(
            [sys.executable, "-m", "lyfinger", "mark", *shelf, "--root", ".", "--output-dir", "out"],
            cwd=work,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(PROJECT), "PYTHONDONTWRITEBYTECODE": "1"},
            check=True,
            capture_output=True,
        )
    assert tree(work / "out") == reference


@pytest.fixture(scope="module")
def reference(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The samples, marked in this process and in another order."""
    target = tmp_path_factory.mktemp("reference")
    for shelf in (TEACHING, tuple(reversed(ENSEMBLE))):
        assert lyfinger("mark", *shelf, "--root", ".", "--output-dir", target, folder=SAMPLES).status == 0
    return tree(target)


def tree(folder: Path) -> dict[str, bytes]:
    """The music below a folder."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.*ly")}
