"""Nothing but digits is added, and a second run adds nothing: samples, reading fixtures, nasty bytes."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from .command import PROJECT, READING, SAMPLES, lyfinger, mark_samples, marked
from .insertions import assert_only_digits_added, inserted

SAMPLE_FILES = sorted(path.relative_to(SAMPLES).as_posix() for path in SAMPLES.rglob("*.*ly"))
BYTES = PROJECT / "tests" / "fixtures" / "bytes"
REFUSED_BYTES = {"nul.ly", "utf16.ly", "utf16-without-mark.ly"}


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The samples, marked."""
    target = tmp_path_factory.mktemp("once")
    mark_samples(SAMPLES, target)
    for name in ("lyfinger.toml", "Teaching/lyfinger.toml"):
        shutil.copy(SAMPLES / name, target / name)
    return target


@pytest.fixture(scope="module")
def twice(once: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The marked samples, marked again."""
    target = tmp_path_factory.mktemp("twice")
    mark_samples(once, target)
    return target


@pytest.mark.parametrize("name", SAMPLE_FILES)
def test_samples_gain_digits_only(name: str, once: Path) -> None:
    count = assert_only_digits_added((SAMPLES / name).read_bytes(), (once / name).read_bytes())
    plays_harp = name.startswith(("Parts/lantern", "Parts/drunken", "Teaching/", "Notes/ferry-harp"))
    assert (count > 100) == plays_harp


@pytest.mark.parametrize("name", SAMPLE_FILES)
def test_samples_marked_again_stay_as_they_are(name: str, once: Path, twice: Path) -> None:
    assert (twice / name).read_bytes() == (once / name).read_bytes()


def test_accepting_in_place_writes_the_same_and_then_nothing(once: Path, tmp_path: Path) -> None:
    work = tmp_path / "samples"
    shutil.copytree(SAMPLES, work)
    roots = ["Parts/lantern-walk.ly", "Parts/ferry-harp.ly", "Scores/ferry.ly"]
    for _ in range(2):
        assert lyfinger("mark", "--in-place", *roots, folder=work).status == 0
        for name in ("Parts/lantern-walk.ly", "Notes/ferry-harp.ily", "Scores/ferry.ly"):
            assert (work / name).read_bytes() == (once / name).read_bytes()
    unchanged = lyfinger("mark", "--diff", *roots, folder=work)
    assert (unchanged.status, unchanged.out) == (0, b"")


@pytest.mark.parametrize("path", READING, ids=lambda path: path.stem)
def test_reading_fixtures(path: Path) -> None:
    before = path.read_bytes()
    name = str(path)
    after = marked(before, name=name)
    assert_only_digits_added(before, after)
    assert marked(after, name=name) == after


def test_enough_of_the_reading_fixtures_get_digits() -> None:
    """Most of them have one staff with a treble clef or none, which is enough to know the hand."""
    counts = {
        path.stem: len(inserted(path.read_bytes(), marked(path.read_bytes(), name=str(path)))) for path in READING
    }
    assert sum(count > 0 for count in counts.values()) >= 10, counts


@pytest.mark.parametrize("path", sorted(BYTES.glob("*.ly")), ids=lambda path: path.stem)
def test_nasty_bytes(path: Path) -> None:
    before = path.read_bytes()
    result = lyfinger("mark", path)
    if path.name in REFUSED_BYTES:
        assert (result.status, result.out) == (2, b"")
        return
    assert result.status == 0, result.err
    assert_only_digits_added(before, result.out)
    assert marked(result.out, name=path.name) == result.out


PIECE = """\
\\version "2.24.0"
upper = \\relative c' { c8( d e f g a b c) | <c, e g>4-> <d f a>_\\markup "é" r2 | c'16 b a g f4-1 e2 }
lower = \\relative c { \\clef bass c4 g' c g | <c, g' e'>2 c\\fermata | << { c'4 d } \\\\ { c,2 } >> c }
\\score { \\new PianoStaff << \\new Staff = "RH" \\upper \\new Staff = "LH" \\lower >> \\layout { } }
"""
DRESSES = {
    "plain": PIECE.encode(),
    "CRLF": PIECE.replace("\n", "\r\n").encode(),
    "CR CRLF LF": PIECE.replace("\n", "\r\n", 1).replace("|", "|\n").replace("relative", "relative\r").encode(),
    "mark": b"\xef\xbb\xbf" + PIECE.encode(),
    "mark and CRLF": b"\xef\xbb\xbf" + PIECE.replace("\n", "\r\n").encode(),
    "tabs": PIECE.replace(" ", "\t").encode(),
    "trailing blanks": PIECE.replace("\n", " \t \n").encode(),
    "a line for each word": PIECE.replace(" ", "\n").encode(),
    "no last line end": PIECE.rstrip("\n").encode(),
    "bytes that are no text": PIECE.replace("upper =", "% \udcff\udce9\nupper =").encode("utf-8", "surrogateescape"),
    "comments everywhere": PIECE.replace(" | ", " %{ ^1 _2 c'4 %} | % d4^3\n ").encode(),
}


@pytest.mark.parametrize("data", DRESSES.values(), ids=list(DRESSES))
def test_one_piece_in_many_dresses(data: bytes) -> None:
    """The same digits, whatever stands between the notes; and again nothing on the second run."""
    after = marked(data)
    digits = [digit for _, digit in inserted(data, after)]
    assert digits == [digit for _, digit in inserted(PIECE.encode(), marked(PIECE))]
    assert len(digits) > 30
    assert_only_digits_added(data, after)
    assert marked(after) == after


def test_the_comparison_sees_a_lost_byte_and_a_changed_one() -> None:
    assert inserted(b"c4 d_1 e4\r\n", b"c4^1 d_1 e4_2\r\n") == [(2, b"^1"), (9, b"_2")]
    for wrong in (
        b"c4^1 d_1 e4_2\n",
        b"c4^1 d_2 e4\r\n",
        b"c4 d_1 e4\r\n ",
        b"c4 d_1 e4",
        b"c4-1 d_1 e4\r\n",
        b"c4^5 d_1 e4\r\n",
    ):
        with pytest.raises(AssertionError):
            inserted(b"c4 d_1 e4\r\n", wrong)
