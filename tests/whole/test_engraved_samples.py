"""The samples, marked and engraved: the same music, exactly the wanted digits, and no new complaint."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from .command import ENSEMBLE, PROJECT, SAMPLES, TEACHING, lyfinger, mark_samples, notes_of
from .engraved import Finger, Loose, Placed, Printed, complaints, printed

ROOTS = (*ENSEMBLE, *TEACHING)
STEPS = "CDEFGAB"


@pytest.fixture(scope="module", params=ROOTS)
def root(request: pytest.FixtureRequest) -> str:
    name: str = request.param
    return name


@pytest.fixture(scope="module")
def before(root: str) -> Printed:
    """What the sample prints as it is."""
    return printed(SAMPLES / root, SAMPLES, SAMPLES)


@pytest.fixture(scope="module")
def target(root: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the sample, marked by itself, is."""
    folder = tmp_path_factory.mktemp("marked")
    mark_samples(SAMPLES, folder, [root])
    return folder


@pytest.fixture(scope="module")
def after(root: str, target: Path) -> Printed:
    """What the marked sample prints, in places of the source."""
    return printed(target / root, SAMPLES, target)


@pytest.fixture(scope="module")
def planned(root: str) -> list[dict[str, Any]]:
    """What ``lyfinger notes`` says of the sample."""
    return notes_of(root, folder=SAMPLES)


def test_the_music_is_the_same(before: Printed, after: Printed) -> None:
    assert before.notes
    assert after.notes == before.notes


def test_exactly_the_wanted_digits_are_printed(before: Printed, after: Printed, planned: list[dict[str, Any]]) -> None:
    """The engraver's digits as before, and each suggested one on its note, or behind its chord if that has a second;
    none on a tied note or a chord's q."""
    suggested = Counter(_suggested(note) for note in planned if note["origin"] == "suggested")
    assert not before.fingers - after.fingers
    alone = after.fingers - before.fingers
    assert not alone - suggested
    behind = suggested - alone
    assert after.loose == before.loose + Counter(_loose(finger) for finger in behind.elements())
    assert all(any(high - low == 1 for low, high in pairwise(chord)) for chord in _chords(behind))
    assert not {finger.place for finger in after.fingers - before.fingers} & after.tied
    for place in {finger.place for finger in suggested}:
        assert _char(place, "q") is False


def test_locked_digits_are_the_engravers(before: Printed, planned: list[dict[str, Any]]) -> None:
    locked = Counter(_suggested(note) for note in planned if note["origin"] == "locked" and note["finger"])
    digits = Counter({finger: count for finger, count in before.fingers.items() if finger.text in "1234"})
    assert locked == digits


def test_every_plucked_note_of_the_harp_has_its_digit(root: str, planned: list[dict[str, Any]]) -> None:
    """None is left out but what can't have one: a tied note, and a chord that q or a bare duration repeats; and a
    harmonic, whose digit is usually not printed (common practice, no source)."""
    for note in planned:
        silent = note["hand"] is None or note["tied"] or _char(_place(note), "q") or _harmonic(_place(note))
        repeats = _char(_place(note), "0123456789")
        assert (note["finger"] is None) == (note["origin"] is None)
        assert repeats or (note["origin"] is None) == silent, note
    assert any(note["hand"] for note in planned) == (root != "Parts/ferry-flute.ly")


def test_the_typesetter_has_nothing_new_to_complain_of(root: str, target: Path, tmp_path: Path) -> None:
    first = complaints(SAMPLES / root, tmp_path / "before")
    second = complaints(target / root, tmp_path / "after")
    assert second - first == Counter()


def test_a_part_and_its_score_marked_in_one_run_print_the_same_music(tmp_path: Path) -> None:
    """The shared notes get one set of digits, and both roots print exactly them."""
    mark_samples(SAMPLES, tmp_path, ENSEMBLE)
    for name in ("Parts/ferry-harp.ly", "Scores/ferry.ly"):
        first, second = printed(SAMPLES / name, SAMPLES, SAMPLES), printed(tmp_path / name, SAMPLES, tmp_path)
        assert second.notes == first.notes
        assert first.fingers <= second.fingers
    part, score = (
        {(finger.place, finger.text) for finger in printed(tmp_path / name, SAMPLES, tmp_path).fingers}
        for name in ("Parts/ferry-harp.ly", "Scores/ferry.ly")
    )
    in_part = dict(sorted(part))
    in_score = dict(sorted(score))
    shared = in_part.keys() & in_score.keys()
    assert len(shared) > 200
    assert {place: in_part[place] for place in shared} == {place: in_score[place] for place in shared}


def test_a_wrong_digit_would_be_seen(tmp_path: Path) -> None:
    name = "Teaching/stepping-stones.ly"
    mark_samples(SAMPLES, tmp_path, [name])
    path = tmp_path / name
    wanted = printed(path, SAMPLES, tmp_path)
    data = path.read_bytes()
    assert b"<a_2 c'_1>4" in data or b"<a^2 c'^1>4" in data
    path.write_bytes(data.replace(b"<a_2 c'_1>4", b"<a_3 c'_1>4").replace(b"<a^2 c'^1>4", b"<a^3 c'^1>4"))
    assert printed(path, SAMPLES, tmp_path).fingers != wanted.fingers


def test_the_other_files_of_the_tree_are_carried_along(tmp_path: Path) -> None:
    result = lyfinger("mark", *ENSEMBLE, "--root", ".", "--output-dir", tmp_path, folder=SAMPLES)
    assert result.status == 0
    for name in ("global.ily", "Notes/ferry-frame.ily", "Notes/ferry-flute.ily"):
        assert (tmp_path / name).read_bytes() == (SAMPLES / name).read_bytes()


def _loose(finger: Finger) -> Loose:
    return Loose(finger.score, finger.moment, finger.grace, finger.text)


def _chords(fingers: Iterable[Finger]) -> list[list[int]]:
    """The strings of digits at one moment and in one line of the source, from the lowest."""
    found: dict[tuple[object, ...], list[int]] = {}
    for finger in fingers:
        octave, step, _ = finger.pitch
        assert octave is not None
        assert step is not None
        found.setdefault((*_loose(finger)[:3], finger.place[:2]), []).append(7 * octave + step)
    return [sorted(strings) for strings in found.values()]


def _suggested(note: dict[str, Any]) -> Finger:
    pitch = note["pitch"]
    return Finger(
        _place(note),
        note["score"] - 1,
        Fraction(note["moment"]),
        Fraction(note["grace"]),
        (pitch["octave"], STEPS.index(pitch["step"].upper()), Fraction(pitch["alter"])),
        str(note["finger"]),
    )


def _place(note: dict[str, Any]) -> Placed:
    """From a column with tabs as eight to characters; the file below the samples."""
    name = (SAMPLES / note["file"]).resolve().relative_to(SAMPLES).as_posix()
    line = (SAMPLES / name).read_bytes().decode("utf-8-sig").split("\n")[note["line"] - 1]
    column = 1
    for char, letter in enumerate(line):
        if column == note["column"]:
            return name, note["line"], char
        column += 8 - (column - 1) % 8 if letter == "\t" else 1
    raise AssertionError(f"{name}:{note['line']} has no column {note['column']}")


def _char(place: Placed, letters: str) -> bool:
    """Whether one of some letters stands at a place."""
    name, line, char = place
    return (SAMPLES / name).read_bytes().decode("utf-8-sig").split("\n")[line - 1][char] in letters


def _harmonic(place: Placed) -> bool:
    """Whether the note at a place, or the chord that it stands in, has ``\\flageolet`` among its post-events."""
    name, line, char = place
    text = (SAMPLES / name).read_bytes().decode("utf-8-sig").split("\n")[line - 1]
    in_chord = text.rfind("<", 0, char) > text.rfind(">", 0, char)
    own = text[text.index(">", char) if in_chord else char :]
    return "\\flageolet" in own.split()[0]


def test_there_are_samples() -> None:
    assert len(ROOTS) >= 6
    assert (PROJECT / "samples" / "Makefile").exists()
