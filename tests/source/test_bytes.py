"""Bytes come back unchanged from the nastiest files, bare and with insertions cut out again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lyfinger.source.edits import Edits, Insertion, refuse_unless_insertions
from lyfinger.source.library import Library
from lyfinger.source.messages import Refused
from lyfinger.source.text import SourceFile, decode, encode

FOLDER = Path(__file__).parent.parent / "fixtures" / "bytes"
REFUSED = {
    "nul.ly": "nul.ly:2:7: error: a NUL byte: this is not the text of a score",
    "utf16.ly": "utf16.ly:1:1: error: this is UTF-16; LilyPond reads UTF-8 only",
    "utf16-without-mark.ly": "utf16-without-mark.ly:1:2: error: a NUL byte: this is not the text of a score",
}
FILES = sorted(path.name for path in FOLDER.glob("*.ly"))
READABLE = [name for name in FILES if name not in REFUSED]

#: What must be true of a fixture for it to test what it is named for.
NASTINESS: dict[str, Callable[[bytes], bool]] = {
    "crlf.ly": lambda data: data.count(b"\r\n") == data.count(b"\n") > 0,
    "lone-cr.ly": lambda data: b"\r" in data and b"\n" not in data,
    "mixed-line-ends.ly": lambda data: b"\r\n" in data and b"\r " in data and b'0"\n' in data,
    "byte-order-mark.ly": lambda data: data.startswith(b"\xef\xbb\xbf"),
    "tabs.ly": lambda data: b"\t" in data,
    "no-final-newline.ly": lambda data: not data.endswith(b"\n"),
    "invalid-utf8-in-comment.ly": lambda data: b"\xe9 " in data and b"\xff\xfe" in data,
    "beyond-the-basic-plane.ly": lambda data: b"\xf0\x9d\x84\x9e" in data,
    "trailing-blanks.ly": lambda data: b"   \n" in data and data.endswith(b"   "),
    "form-feed-and-controls.ly": lambda data: b"\x0c" in data and b"\xc2\x85" in data,
    "empty.ly": lambda data: data == b"",
    "nul.ly": lambda data: b"\0" in data,
    "utf16.ly": lambda data: data[:2] in (b"\xff\xfe", b"\xfe\xff"),
    "utf16-without-mark.ly": lambda data: data[:2] == b"\\\0",
}


@pytest.mark.parametrize("name", FILES)
def test_fixture_is_as_nasty_as_its_name(name: str) -> None:
    assert NASTINESS[name]((FOLDER / name).read_bytes())


@pytest.mark.parametrize("name", READABLE)
def test_bytes_come_back(name: str) -> None:
    data = (FOLDER / name).read_bytes()
    file = Library(directory=FOLDER).root(name)
    assert encode(file.text) == file.data == data
    assert Edits.of(file, []).apply() == data


@pytest.mark.parametrize("name", READABLE)
def test_every_insertion_leaves_the_rest_alone(name: str) -> None:
    file = Library(directory=FOLDER).root(name)
    edits = Edits.of(file, [Insertion(offset, "^1") for offset in range(len(file.text) + 1)])
    output = edits.apply()
    refuse_unless_insertions(edits, output)
    assert len(output) == len(file.data) + 2 * (len(file.text) + 1)
    mover = edits.mover()
    moved = decode(output)
    assert all(moved[mover(offset)] == char for offset, char in enumerate(file.text))


@pytest.mark.parametrize(("name", "line"), REFUSED.items())
def test_no_text_is_refused_in_one_line(name: str, line: str) -> None:
    with pytest.raises(Refused) as refused:
        Library(directory=FOLDER).root(name)
    assert str(refused.value) == line


@given(st.binary(max_size=60), st.data())
def test_any_bytes_survive_any_insertions(data: bytes, draw: st.DataObject) -> None:
    file = SourceFile("any.ly", data)
    offsets = draw.draw(st.sets(st.integers(0, len(file.text))))
    edits = Edits.of(file, [Insertion(offset, draw.draw(st.sampled_from(["^1", "_2", "^"]))) for offset in offsets])
    output = edits.apply()
    refuse_unless_insertions(edits, output)
    assert len(output) == len(data) + sum(len(item.text) for item in edits.insertions)


@given(st.binary(min_size=1, max_size=40), st.data())
def test_any_other_change_is_noticed(data: bytes, draw: st.DataObject) -> None:
    file = SourceFile("any.ly", data)
    offset = draw.draw(st.integers(0, len(file.text)))
    edits = Edits.of(file, [Insertion(offset, "^1")])
    output = bytearray(edits.apply())
    output[draw.draw(st.integers(0, len(output) - 1))] ^= 1
    with pytest.raises(Refused, match="internal error"):
        refuse_unless_insertions(edits, bytes(output))


@pytest.mark.parametrize(
    "insertions",
    [
        [Insertion(1, "^1"), Insertion(1, "^2")],
        [Insertion(1, "^1"), Insertion(1, "^1")],
        [Insertion(1, "")],
        [Insertion(-1, "^1")],
        [Insertion(4, "^1")],
    ],
)
def test_impossible_insertions_raise(insertions: list[Insertion]) -> None:
    with pytest.raises(ValueError):
        Edits.of(SourceFile("c.ly", b"c d"), insertions)


def test_insertions_may_come_in_any_order() -> None:
    file = SourceFile("c.ly", b"c d e")
    assert Edits.of(file, [Insertion(5, "^3"), Insertion(1, "^1"), Insertion(3, "^2")]).apply() == b"c^1 d^2 e^3"
