"""The harps against the published numbers, each beside its source."""

from __future__ import annotations

import pytest

from lyfinger.harp.profile import HARPS, PEDAL, HarpProfile
from lyfinger.score.pitch import string_name

PUBLISHED = [
    (range(46, 53), 13_000, 14_000, "[P] top 13–14 mm: C. Blevins; Heartland Harps"),
    (range(28, 29), 14_500, 16_000, "[P] middle C 14.5–16 mm"),
    (range(7, 21), 15_000, 17_000, "[P] bass 15–17 mm"),
]


@pytest.mark.parametrize(("strings", "least", "most", "source"), PUBLISHED)
def test_spacing_of_the_concert_harp(strings: range, least: int, most: int, source: str) -> None:
    for string in strings:
        assert least <= PEDAL.spacing_at(string) <= most, source


@pytest.mark.parametrize("harp", HARPS.values(), ids=lambda harp: harp.name)
def test_no_string_is_nearer_than_is_published(harp: HarpProfile) -> None:
    """Never under 12.5 mm [P]; the spacing never grows upwards."""
    spacings = [harp.spacing_at(string) for string in range(harp.lowest, harp.highest)]
    assert min(spacings) >= 12_500
    assert spacings == sorted(spacings, reverse=True)


def test_derived_spans_at_middle_c() -> None:
    """An octave at middle C is 101–112 mm, a tenth 130–144 mm (derived from the published spacing)."""
    assert 101_000 <= PEDAL.span(28, 35) <= 112_000
    assert 130_000 <= PEDAL.span(28, 37) <= 144_000


RANGES = [
    ("pedal", 47, "C1", "G7", "[P] Bligh"),
    ("small-pedal", 40, "A1", "E7", "[M]"),
    ("lever-34", 34, "C2", "A6", "[P] Perrett"),
    ("lever-22", 22, "C4", "C7", "[M]"),
    ("lever-26", 26, "C3", "G6", "[M]"),
    ("lever-27", 27, "C3", "A6", "[M]"),
    ("lever-36", 36, "C2", "C7", "[M]"),
    ("lever-38", 38, "C2", "E7", "[M]"),
    ("lever-40", 40, "A1", "E7", "[M]"),
]


@pytest.mark.parametrize(("name", "strings", "lowest", "highest", "source"), RANGES)
def test_ranges(name: str, strings: int, lowest: str, highest: str, source: str) -> None:
    harp = HARPS[name]
    assert (string_name(harp.lowest), string_name(harp.highest)) == (lowest, highest), source
    assert harp.highest - harp.lowest + 1 == strings, source


def test_a_lever_harp_is_narrower() -> None:
    """[P] usually narrower."""
    for string in range(14, 49):
        assert HARPS["lever-36"].spacing_at(string) < PEDAL.spacing_at(string)


def test_a_small_pedal_harp_lies_between() -> None:
    """From memory [M]: no wider than the concert harp, and wider than a lever harp."""
    for string in range(14, 49):
        widths = [HARPS[name].spacing_at(string) for name in ("lever-36", "small-pedal", "pedal")]
        assert widths == sorted(widths)


def test_spans_add_up_and_reach_past_the_harp() -> None:
    assert PEDAL.span(20, 30) == PEDAL.span(20, 25) + PEDAL.span(25, 30)
    assert PEDAL.span(60, 60) == 0
    assert PEDAL.span(100, 101) == PEDAL.spacing_at(100)


@pytest.mark.parametrize("spacing", [(), ((28, 0),), ((28, 15_000), (14, 16_000))])
def test_spacing_that_is_none_is_refused(spacing: tuple[tuple[int, int], ...]) -> None:
    with pytest.raises(ValueError, match=r"spacing"):
        HarpProfile("broken", 7, 53, spacing)
