"""A measured hand and a harp in numbers, as a user sets them. The music is invented."""

from __future__ import annotations

from pathlib import Path

from .conftest import Run

FOURTH = b'\\version "2.24.0"\n\\new Staff = "RH" { <c\' f\'>1 }\n'


def test_a_measured_hand_and_the_option_that_overrules_it(run: Run, repository: Path) -> None:
    """A small hand takes a 4th 3–1: [T]."""
    (repository / "fourth.ly").write_bytes(FOURTH)
    (repository / "lyfinger.toml").write_text("[hand]\nthumb_to_ring = 126\n[hand.reach]\n1-2 = 100\n")
    assert b"<c'^3 f'^1>1" in run("mark", "fourth.ly").out
    assert b"<c'^2 f'^1>1" in run("mark", "fourth.ly", "--hand", "medium").out


def test_a_harp_of_ones_own_bounds_the_check(run: Run, repository: Path) -> None:
    (repository / "fourth.ly").write_bytes(FOURTH)
    (repository / "lyfinger.toml").write_text('[harp]\nprofile = "lever-22"\nlowest = "D4"\n')
    result = run("check", "fourth.ly")
    assert (result.status, result.err) == (1, b"")
    said = b"C4 is not on this harp, which has D4 to C7: write it an octave higher (bar 1) [off-the-harp]"
    assert b"fourth.ly:2:22: error: " + said in result.out


def test_nonsense_is_refused_in_one_line(run: Run, repository: Path) -> None:
    (repository / "lyfinger.toml").write_text("[hand.reach]\n1-2 = 140\n1-3 = 120\n")
    result = run("mark", "single.ly")
    assert (result.status, result.out) == (2, b"")
    assert result.lines == ["lyfinger.toml:3:1: error: hand.reach.1-3 must be at least hand.reach.1-2"]
