"""One by one what the trials of ``fuzz.py`` mix by chance: brackets thousands deep, monstrous numbers, strange files,
foreign encodings and line ends."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from .command import SAMPLES, Result, lyfinger
from .confined import confined
from .damage import ENCODINGS, LINE_ENDS, MONSTERS, NO_TEXT, OPENINGS, STRANGE_FILES
from .insertions import assert_only_digits_added

DEPTH = 2000
SAILOR = SAMPLES / "Parts" / "drunken-sailor.ly"


def _run(data: bytes, *arguments: str, folder: Path | None = None) -> Result:
    """Mark a source within limits; it must be done, or refused in one line, and what comes out is it and digits."""
    name = "test.ly" if folder else str(SAILOR)
    ended = confined(lambda: lyfinger("mark", "-", "--stdin-filename", name, *arguments, stdin=data, folder=folder))
    assert not ended.fault, ended.fault
    result: Result = ended.value
    assert result.status in (0, 2)
    assert not {"internal error", "Traceback", "out of memory"} & set(result.err.split(": "))
    assert "internal error" not in result.err
    if result.status == 2:
        assert (result.out, result.err.count("\n")) == (b"", 1)
    else:
        assert_only_digits_added(data, result.out)
    return result


@pytest.mark.parametrize(("opening", "closing"), OPENINGS, ids=range(len(OPENINGS)))
def test_brackets_within_brackets(opening: bytes, closing: bytes) -> None:
    _run(b"{ e'4 " + opening * DEPTH + b"c'4 " + closing * DEPTH + b"d'4 }\n")


@pytest.mark.parametrize("monster", MONSTERS, ids=range(len(MONSTERS)))
def test_monsters(monster: bytes) -> None:
    _run(b'\\new Staff = "RH" { e\'4 ' + monster + b"d'4 f'4 }\n")


@pytest.mark.parametrize("name", STRANGE_FILES, ids=range(len(STRANGE_FILES)))
def test_strange_includes(name: str, tmp_path: Path) -> None:
    """Folders, devices and pipes are no files of a score: nothing is read of them, and nobody waits for them."""
    os.mkfifo(tmp_path / "pipe.ily")
    (tmp_path / "binary.ily").write_bytes(bytes(range(1, 256)) * 20)
    (tmp_path / "loop.ily").write_bytes(b'c4 \\include "loop.ily"\n')
    result = _run(f"{{ c'4 }}\n\\include \"{name}\"\n{{ d'4 }}\n".encode(), folder=tmp_path)
    if name.startswith("/dev") or name in ("pipe.ily", "/", ".", "..", ""):
        assert result.status == 2
        assert result.err.startswith("test.ly:2:")


@pytest.mark.parametrize("name", ["/dev/null", "/dev/zero", "/", ".", "x" * 5000, "a\nb.ly"])
@pytest.mark.parametrize("command", ["mark", "clear"])
def test_strange_files_by_name(command: str, name: str, tmp_path: Path) -> None:
    ended = confined(lambda: lyfinger(command, name, folder=tmp_path))
    assert not ended.fault, ended.fault
    status, said = ended.value.status, ended.value.err
    assert (status, said.count("\n")) == ((0, 0) if name == "/dev/null" else (2, 1)), said


@pytest.mark.parametrize("option", ["--config", "--keep", "--locks"])
@pytest.mark.parametrize("name", ["/dev/null", "/dev/zero", "/", "missing"])
def test_strange_files_beside(option: str, name: str) -> None:
    ended = confined(lambda: lyfinger("mark", SAILOR, option, name))
    assert not ended.fault, ended.fault
    harmless = name == "/dev/null" and option != "--locks"
    assert ended.value.status == (0 if harmless else 2)
    assert "internal error" not in ended.value.err
    assert harmless or ended.value.err.count("\n") == 1


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_encodings(encoding: str) -> None:
    text = SAILOR.read_text(encoding="utf-8")
    result = _run(text.replace("Sailor", "Matelot bien aimé").encode(encoding, "replace"))
    if encoding in ("latin-1", "cp1252", "utf-8-sig"):
        assert result.status == 0  # music is ASCII, whatever stands in strings
    if encoding.startswith(("utf-16", "utf-32")):
        assert result.status == 2


@pytest.mark.parametrize("end", LINE_ENDS, ids=range(len(LINE_ENDS)))
def test_line_ends(end: bytes) -> None:
    result = _run(SAILOR.read_bytes().replace(b"\n", end))
    assert result.status == 0 or end not in (b"\r\n", b"\n\r")


@pytest.mark.parametrize("piece", NO_TEXT, ids=range(len(NO_TEXT)))
def test_bytes_that_are_no_text(piece: bytes) -> None:
    source = SAILOR.read_bytes()
    result = _run(source.replace(b" ", b" " + piece, 1))
    assert (result.status == 2) == (b"\0" in piece)


def test_includes_have_limits(tmp_path: Path) -> None:
    """Each includes the next one twice: two to the power of thirty readings, were there no end."""
    for number in range(30):
        following = f'\\include "{number + 1}.ily"\n'
        (tmp_path / f"{number}.ily").write_text(following * 2 + "{ c'4 }\n")
    (tmp_path / "30.ily").write_text("{ d'4 }\n")
    result = _run(b'\\include "0.ily"\n', folder=tmp_path)
    assert result.status == 2
