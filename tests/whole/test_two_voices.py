"""Two voices in a hand: every digit on its voice's side, and none over another or over a head.

The positions are the typesetter's own, asked for when its pages are laid out.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from .boxes import Box, boxes, collisions
from .command import PROJECT, SAMPLES, lyfinger, mark_samples

PAGES = PROJECT / "tests" / "fixtures" / "whole"
HANDS = ("right", "left")
TOUCH = 0.0


@pytest.fixture(scope="module", params=HANDS)
def page(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page of two voices in one hand, marked."""
    path = tmp_path_factory.mktemp("page") / f"two-voices-{request.param}.ly"
    result = lyfinger("mark", PAGES / path.name, "-o", path)
    assert result.status == 0
    assert all(line.endswith("[stretches]") for line in result.err.splitlines()), result.err
    return path


@pytest.fixture(scope="module")
def found(page: Path) -> list[Box]:
    """Where its grobs are."""
    return boxes(page, page.parent)


def side_of_line(page: Path) -> dict[int, int]:
    """1 or -1 for each line that says that it is the upper or the lower voice's."""
    sides = {"above": 1, "below": -1}
    lines = page.read_text("utf-8").splitlines()
    said = {number: re.search(r"% (above|below)$", line) for number, line in enumerate(lines, 1)}
    return {number: sides[match[1]] for number, match in said.items() if match}


def test_every_note_has_a_digit(found: list[Box]) -> None:
    digits = [box for box in found if box.name == "Fingering"]
    heads = [box for box in found if box.name == "NoteHead"]
    assert len(digits) == len(heads) > 90


def test_a_voices_digits_are_on_its_side(page: Path, found: list[Box]) -> None:
    """Above, or below, every head that both voices have at that moment; the digit's own head among them."""
    sides = side_of_line(page)
    heads = [box for box in found if box.name == "NoteHead" and box.line in sides]
    digits = [box for box in found if box.name == "Fingering" and box.line in sides]
    assert len(digits) > 70
    assert all(head.stem in (0, sides[head.line]) for head in heads)
    for digit in digits:
        together = [head for head in heads if head.when == digit.when]
        assert any(head.line == digit.line and head.char < digit.char for head in together)
        if sides[digit.line] > 0:
            assert digit.bottom > max(head.top for head in together), digit
        else:
            assert digit.top < min(head.bottom for head in together), digit


def test_no_digit_lies_over_another_or_over_a_head(found: list[Box]) -> None:
    assert list(collisions(found, "NoteHead", "Accidental", "Dots", least=TOUCH)) == []


@pytest.mark.parametrize(("what", "pattern"), [("the other side", rb"_(?=[1-4])"), ("no side", rb"[\^_](?=[1-4])")])
def test_other_sides_would_collide(what: str, pattern: bytes, tmp_path: Path) -> None:
    """The rule is needed, and the measure sees where it is broken. (Seen in engraved pages of LilyPond 2.25.12.)"""
    path = tmp_path / "page.ly"
    assert lyfinger("mark", PAGES / "two-voices-right.ly", "-o", path).status == 0
    other = b"^" if what == "the other side" else b"-"
    path.write_bytes(re.sub(pattern, other, path.read_bytes()))
    assert len(list(collisions(boxes(path, tmp_path), "NoteHead", least=TOUCH))) > 5


@pytest.mark.parametrize("name", ["Parts/lantern-walk.ly", "Scores/ferry.ly", "Teaching/stepping-stones.ly"])
def test_no_digit_of_the_samples_collides(name: str, tmp_path: Path) -> None:
    mark_samples(SAMPLES, tmp_path / "marked", [name])
    found = boxes(tmp_path / "marked" / name, tmp_path)
    assert sum(box.name == "Fingering" for box in found) > 500
    assert list(collisions(found, "NoteHead", "Accidental", "Dots", least=TOUCH)) == []
