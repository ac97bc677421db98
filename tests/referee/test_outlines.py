"""The measure itself: what lies over what, by the ink and not by the boxes."""

from __future__ import annotations

from pathlib import Path

import pytest

from .outlines import ROUNDING, Outline, collisions, columns, is_column, outlines


def _outlines(source: str, folder: Path) -> list[Outline]:
    path = folder / "page.ly"
    path.write_text(source)
    return outlines(path)


def _over(found: list[Outline]) -> list[str]:
    return [other.name for _, other, _ in collisions(found, "Fingering", least=ROUNDING)]


def _inside(one: Outline, other: Outline) -> bool:
    """Whether the box of one lies over the box of another."""
    across = min(one.right, other.right) - max(one.left, other.left)
    return min(across, min(one.top, other.top) - max(one.bottom, other.bottom)) > ROUNDING


def test_a_slur_is_its_curve(tmp_path: Path) -> None:
    """A digit at heights from under the curve to above it, line by line: it is crossed where the curve is."""
    heights = [step / 4 for step in range(28)]
    digit = "-\\tweak avoid-slur ##f -\\tweak Y-offset #{} ^2"
    lines = (f"\\slurUp c''4( d''{digit.format(height)} e'' f'' | g'' f'' e'' c'') \\break" for height in heights)
    found = _outlines('\\version "2.24.0"\n{\n' + "\n".join(lines) + "\n}\n", tmp_path)
    digits = [one for one in found if one.name == "Fingering"]
    slurs = [one for one in found if one.name == "Slur"]
    assert len(digits) == len(slurs) == len(heights)
    crossed = [digit.depth(slur) > ROUNDING for digit, slur in zip(digits, slurs, strict=True)]
    boxes = [_inside(digit, slur) for digit, slur in zip(digits, slurs, strict=True)]
    first, last = crossed.index(True), len(crossed) - crossed[::-1].index(True)
    assert 0 < first < last < len(crossed)
    assert all(crossed[first:last])
    assert sum(boxes) > sum(crossed)


@pytest.mark.parametrize(
    ("name", "notes"),
    [
        ("NoteHead", "c''4-\\tweak Y-offset #0.2 ^2"),
        ("Stem", "c''4-\\tweak Y-offset #-2.5 -\\tweak X-offset #0 _2"),
        ("Beam", "c'8[ d'-\\tweak Y-offset #0 -\\tweak X-offset #-1 ^2]"),
        ("Accidental", "cis''4-\\tweak Y-offset #0 -\\tweak X-offset #-1.2 ^2"),
    ],
)
def test_what_a_digit_is_pushed_onto_is_seen(name: str, notes: str, tmp_path: Path) -> None:
    assert name in _over(_outlines(f'\\version "2.24.0"\n{{ {notes} }}\n', tmp_path))


def test_a_chord_with_a_second_is_no_column_inside_and_one_behind(tmp_path: Path) -> None:
    """Inside, each digit is centred on its own head."""
    inside = columns(_outlines("\\version \"2.24.0\"\n{ <c'^4 d'^3 g'^1>4 <c'^3 e'^2 g'^1> }\n", tmp_path))
    behind = columns(_outlines("\\version \"2.24.0\"\n{ <c' d' g'>4^4^3^1 <c e g>_1_2_3 }\n", tmp_path))
    assert [is_column(stack) for stack in inside] == [False, True]
    assert [is_column(stack) for stack in behind] == [True, True]
    assert [len(stack) for stack in (*inside, *behind)] == [3, 3, 3, 3]


def test_places_in_the_source(tmp_path: Path) -> None:
    found = _outlines("\\version \"2.24.0\"\n{ c''4^1 r2. | d''1_4 }\n", tmp_path)
    digits = [(one.text, one.bar, one.line, one.char) for one in found if one.name == "Fingering"]
    assert digits == [("1", 1, 2, 6), ("4", 2, 2, 19)]
