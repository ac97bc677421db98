"""What is printed of the planned digits: rows of the trade's table, figures in source, and the samples, twice."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from lyfinger.choices import DENSITIES
from lyfinger.marking.density import trained_fingers
from tests.whole.command import SAMPLES, lyfinger, marked
from tests.whole.insertions import inserted

C4 = 28

#: Strings above C4, fingers low to high, source.
TABLE = [
    ((0, 1), (2, 1), "Learning the Harp, 10 Rules of Harp Fingering"),
    ((0, 3), (2, 1), "Learning the Harp, 10 Rules of Harp Fingering"),
    ((0, 4), (3, 1), "Learning the Harp, 10 Rules of Harp Fingering"),
    ((0, 5), (3, 1), "Learning the Harp, 10 Rules of Harp Fingering"),
    ((0, 6), (4, 1), "Learning the Harp, 10 Rules of Harp Fingering"),
    ((0, 7), (4, 1), "Learning the Harp, 10 Rules of Harp Fingering"),
    ((0, 9), (4, 1), "Learning the Harp, 10 Rules of Harp Fingering"),
    ((0, 2, 4), (3, 2, 1), "Simple Harp, Accords sur 3 doigts"),
    ((0, 2, 5), (3, 2, 1), "Simple Harp, Accords sur 3 doigts"),
    ((0, 3, 5), (3, 2, 1), "Simple Harp, Accords sur 3 doigts"),
    ((0, 3, 7), (4, 2, 1), "common practice, no source: a fourth above the lowest string"),
    ((0, 4, 7), (4, 2, 1), "common practice, no source: a fourth below the thumb"),
    ((0, 2, 7), (4, 3, 1), "common practice, no source: a sixth below the thumb"),
    ((0, 2, 4, 7), (4, 3, 2, 1), "common practice, no source: four strings, four fingers"),
]


@pytest.mark.parametrize(("strings", "fingers", "source"), TABLE)
def test_what_a_trained_hand_takes(strings: tuple[int, ...], fingers: tuple[int, ...], source: str) -> None:
    assert fingers in trained_fingers(tuple(C4 + string for string in strings)), source


def test_a_lone_string_has_no_trained_finger() -> None:
    assert trained_fingers((C4,)) == ()


def _printed(notes: str, density: str) -> str:
    source = f'\\version "2.24.0"\n\\new Staff = "RH" {{ \\tempo 4 = 100 {notes} }}\n'.encode()
    return marked(source, "--density", density).decode().split("100 ")[1].removesuffix(" }\n")


#: Notes, and what of their digits is printed. Choice and window are ours; the digits are the search's.
FIGURES = [
    ("placings", "c'8 d' e' f' g' a' b' c''", "c'8^4 d' e' f' g'^4 a' b' c''"),
    ("placings", "c'8 e' g' c'' g' e' c'4", "c'8^4 e' g' c''^1 g' e' c'4"),
    ("placings", "<c' e' g'>2 <d' f' a'>", "<c'^3 e'^2 g'^1>2 <d'^3 f'^2 a'^1>"),
    ("needed", "<c' e' g'>2 <d' f' a'>", "<c' e' g'>2 <d' f' a'>"),
    ("needed", "<b d'>8 <b d'> <d' g'> <d' g'>", "<b d'>8 <b d'> <d' g'> <d' g'>"),
    ("needed", "c'8 e' g' c'' g' e' c'4", "c'8 e' g' c'' g' e' c'4"),
    ("needed", "c'8 d' e' f' g' a' b' c''", "c'8 d' e' f' g'^4 a' b' c''"),
    ("needed", "c'8 d' e' g' a' b' c'' d''", "c'8 d' e' g' a'^4 b' c'' d''"),
]


@pytest.mark.parametrize(("density", "notes", "printed"), FIGURES)
def test_what_is_printed_of_a_figure(density: str, notes: str, printed: str) -> None:
    assert _printed(notes, density) == printed


def test_a_figure_that_comes_again_is_printed_once() -> None:
    assert _printed("c'4 r c' r d' r", "all") == "c'4^1 r c'^1 r d'^1 r"
    assert _printed("c'4 r c' r d' r", "needed") == "c'4^1 r c' r d' r"


def test_digits_that_stand_there_stay_and_bind() -> None:
    assert _printed("c'8-2 e' g' c''", "placings").startswith("c'8-2 ")


NAMES = ("Parts/lantern-walk.ly", "Parts/drunken-sailor.ly", "Notes/ferry-harp.ily")


@pytest.fixture(scope="module")
def trees(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, int], Path]:
    """By density: the samples marked once (1), and marked again (2)."""
    found: dict[tuple[str, int], Path] = {}
    files = sorted(path.relative_to(SAMPLES).as_posix() for path in (SAMPLES / "Parts").glob("*.ly"))
    for density in DENSITIES:
        source = SAMPLES
        for run in (1, 2):
            target = found[density, run] = tmp_path_factory.mktemp(f"{density}-{run}")
            done = lyfinger("mark", "--density", density, *files, "--output-dir", target, folder=source)
            assert done.status == 0, done.err
            shutil.copy(SAMPLES / "lyfinger.toml", target)
            source = target
    return found


@pytest.mark.parametrize("density", DENSITIES)
@pytest.mark.parametrize("name", NAMES)
def test_a_second_run_over_the_samples_adds_nothing(
    name: str, density: str, trees: dict[tuple[str, int], Path]
) -> None:
    assert (trees[density, 2] / name).read_bytes() == (trees[density, 1] / name).read_bytes()


@pytest.mark.parametrize("name", NAMES)
def test_fewer_digits_are_printed_and_they_are_the_same_ones(name: str, trees: dict[tuple[str, int], Path]) -> None:
    before = (SAMPLES / name).read_bytes()
    digits = {density: set(inserted(before, (trees[density, 1] / name).read_bytes())) for density in DENSITIES}
    assert digits["needed"] < digits["all"]
    assert digits["placings"] < digits["all"]
    assert 0 < len(digits["needed"]) < len(digits["placings"])
