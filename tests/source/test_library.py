"""Where included files are found. The referee is the typesetter: every file of a tree says its name when it is read."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from lyfinger.source.library import Found, Library, Limits, Missing, Typesetters
from lyfinger.source.messages import Refused
from lyfinger.source.text import Place, SourceFile
from lyfinger.source.typesetter import TYPESETTERS_FILES

from ..referee import engraver

#: Trees of files (name: what it includes), from where and how the typesetter is started, and on which file.
LOOKUPS = {
    "beside the including file": ({"src/a.ly": ["n.ily"], "src/n.ily": [], "n.ily": []}, ".", [], "src/a.ly"),
    "before -I": ({"src/a.ly": ["n.ily"], "src/n.ily": [], "i/n.ily": []}, ".", ["i"], "src/a.ly"),
    "a plain name has no folder, so -I comes first": (
        {"src/a.ly": ["n.ily"], "src/n.ily": [], "i/n.ily": []},
        "src",
        ["../i"],
        "a.ly",
    ),
    "./ is a folder": ({"src/a.ly": ["n.ily"], "src/n.ily": [], "i/n.ily": []}, "src", ["../i"], "./a.ly"),
    "-I in order": ({"a.ly": ["n.ily", "m.ily"], "i/n.ily": [], "k/n.ily": [], "k/m.ily": []}, ".", ["i", "k"], "a.ly"),
    "the working directory is last": (
        {"src/a.ly": ["n.ily", "m.ily"], "i/n.ily": [], "n.ily": [], "m.ily": []},
        ".",
        ["i"],
        "src/a.ly",
    ),
    "the typesetter's own before -I and the working directory": (
        {"a.ly": ["english.ly"], "english.ly": [], "i/english.ly": []},
        ".",
        ["i"],
        "a.ly",
    ),
    "but after the folder of the including file": (
        {"src/a.ly": ["english.ly"], "src/english.ly": []},
        ".",
        [],
        "src/a.ly",
    ),
    "an included file's includes count from its own folder": (
        {"a.ly": ["lib/n.ily"], "lib/n.ily": ["m.ily"], "lib/m.ily": [], "m.ily": []},
        ".",
        [],
        "a.ly",
    ),
    "and so when it was found by -I": (
        {"src/a.ly": ["n.ily"], "i/n.ily": ["m.ily"], "i/m.ily": [], "src/m.ily": []},
        ".",
        ["i"],
        "src/a.ly",
    ),
    "not beside the root score": (
        {"src/a.ly": ["lib/n.ily"], "src/lib/n.ily": ["m.ily"], "src/m.ily": []},
        ".",
        [],
        "src/a.ly",
    ),
    "up and down": ({"src/a.ly": ["../lib/../m.ily"], "m.ily": [], "lib/n.ily": []}, ".", [], "src/a.ly"),
    "no ending is added": ({"a.ly": ["n"], "n.ly": [], "n.ily": []}, ".", [], "a.ly"),
    "a folder is no file": ({"a.ly": ["n"], "n/m.ily": []}, ".", [], "a.ly"),
    "twice": ({"a.ly": ["n.ily", "n.ily"], "n.ily": []}, ".", [], "a.ly"),
}

_INCLUDE = re.compile(r'\\include "([^"]*)"')


def _plant(folder: Path, tree: dict[str, list[str]]) -> None:
    for name, includes in tree.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        lines = ['\\version "2.24.0"', f'#(display "<{name}>")', *(f'\\include "{item}"' for item in includes)]
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def _typesetters_way(folder: Path, include_dirs: list[str], root: str) -> list[str]:
    result = engraver.run(["-s", *(f"-I{item}" for item in include_dirs), root], folder=folder)
    return re.findall(r"<([^<>]*)>", result.stdout)


def _our_way(library: Library, file: SourceFile) -> list[str]:
    told = re.findall(r'display "<(.*)>"', file.text)
    for name in _INCLUDE.findall(file.text):
        included = library.include(file, name)
        if isinstance(included, Found):
            told += _our_way(library, included.file)
    return told


@pytest.mark.parametrize("case", LOOKUPS)
def test_includes_are_found_where_the_typesetter_finds_them(case: str, tmp_path: Path) -> None:
    tree, directory, include_dirs, root = LOOKUPS[case]
    _plant(tmp_path, tree)
    wanted = _typesetters_way(tmp_path / directory, include_dirs, root)
    library = Library(include_dirs, directory=tmp_path / directory)
    assert _our_way(library, library.root(root)) == wanted


def test_a_file_without_a_name_is_refused_in_words() -> None:
    with pytest.raises(Refused, match="a file name is empty"):
        Library().root("")


def test_a_link_is_looked_up_beside_the_link(tmp_path: Path) -> None:
    _plant(tmp_path, {"a.ly": ["lib/n.ily"], "real/n.ily": ["m.ily"], "real/m.ily": [], "lib/m.ily": []})
    (tmp_path / "lib" / "n.ily").symlink_to(Path("..", "real", "n.ily"))
    wanted = _typesetters_way(tmp_path, [], "a.ly")
    library = Library(directory=tmp_path)
    assert _our_way(library, library.root("a.ly")) == wanted == ["a.ly", "real/n.ily", "lib/m.ily"]


def test_the_list_of_the_typesetters_files_is_the_packages() -> None:
    folders = list(engraver.pinned().parents[1].glob("share/lilypond/*/ly"))
    packaged = {path.name for folder in folders for path in folder.iterdir()}
    assert packaged
    assert packaged <= TYPESETTERS_FILES
    assert TYPESETTERS_FILES - packaged == {"festival.ly"}  # gone since 2.24


def test_outcomes(tmp_path: Path) -> None:
    _plant(tmp_path, {"src/a.ly": [], "i/n.ily": []})
    library = Library(["i"], directory=tmp_path)
    root = library.root("src/a.ly")
    found = library.include(root, "n.ily")
    assert isinstance(found, Found)
    assert found.file.name == "i/n.ily"
    assert found.file.path == tmp_path / "i" / "n.ily"
    assert library.include(root, "deutsch.ly") == Typesetters("deutsch.ly")
    assert library.include(root, "nothing.ily") == Missing("nothing.ily", ("src", "i", "."))
    assert library.include(root, str(tmp_path / "i" / "n.ily")) == found
    assert library.include(root, str(tmp_path / "nothing.ily")) == Missing(str(tmp_path / "nothing.ily"), ())
    assert library.include(root, "") == Missing("", ("src", "i", "."))
    assert library.include(root, "a\0b") == Missing("a\0b", ("src", "i", "."))
    assert library.files == (root, found.file)


def test_a_file_is_read_once_however_it_is_named(tmp_path: Path) -> None:
    _plant(tmp_path, {"a.ly": [], "n.ily": []})
    (tmp_path / "link.ily").symlink_to("n.ily")
    library = Library(directory=tmp_path)
    root = library.root("a.ly")
    names = ["n.ily", "./n.ily", "link.ily", str(tmp_path / "n.ily")]
    files = {found.file for name in names if isinstance(found := library.include(root, name), Found)}
    assert len(files) == 1
    assert library.names(files.pop()) == tuple(names)


def test_standard_input_has_a_name_to_count_from(tmp_path: Path) -> None:
    _plant(tmp_path, {"src/n.ily": [], "n.ily": []})
    library = Library(directory=tmp_path)
    plain = library.include(library.stdin(b"{ c'4 }"), "n.ily")
    named = library.include(library.stdin(b"{ c'4 }", "src/score.ly"), "n.ily")
    assert isinstance(plain, Found)
    assert isinstance(named, Found)
    assert (plain.file.name, named.file.name) == ("n.ily", "src/n.ily")


@pytest.mark.parametrize(
    ("limits", "line"),
    [
        (Limits(file_bytes=39), "a.ly:1:1: error: n.ily is larger than 39 bytes"),
        (Limits(total_bytes=60), "a.ly:1:1: error: the files of this run are larger than 60 bytes in all"),
        (Limits(files=1), "a.ly:1:1: error: this run reaches more than 1 files"),
    ],
)
def test_limits(tmp_path: Path, limits: Limits, line: str) -> None:
    (tmp_path / "a.ly").write_bytes(b"x" * 39)
    (tmp_path / "n.ily").write_bytes(b"x" * 40)
    library = Library(directory=tmp_path, limits=limits)
    root = library.root("a.ly")
    with pytest.raises(Refused) as refused:
        library.include(root, "n.ily", Place(root, 0))
    assert str(refused.value) == line


def test_an_included_file_that_is_no_text_is_refused_by_its_own_place(tmp_path: Path) -> None:
    _plant(tmp_path, {"a.ly": []})
    (tmp_path / "n.ily").write_bytes(b"{ c'4 }\n\0")
    library = Library(directory=tmp_path)
    root = library.root("a.ly")
    with pytest.raises(Refused, match=r"^n\.ily:2:1: error: a NUL byte"):
        library.include(root, "n.ily", Place(root, 0))


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("nothing.ly", "lyfinger: can't read nothing.ly: No such file or directory"),
        (".", "lyfinger: can't read .: Is a directory"),
        ("a.ly/b.ly", "lyfinger: can't read a.ly/b.ly: Not a directory"),
        ("loop.ly", "lyfinger: can't read loop.ly: Too many levels of symbolic links"),
        ("two\nlines.ly", r"lyfinger: can't read two\nlines.ly: No such file or directory"),
        ("x" * 300, f"lyfinger: can't read {'x' * 300}: File name too long"),
    ],
)
def test_a_root_that_cannot_be_read_is_refused(tmp_path: Path, name: str, line: str) -> None:
    _plant(tmp_path, {"a.ly": []})
    (tmp_path / "loop.ly").symlink_to("loop.ly")
    with pytest.raises(Refused) as refused:
        Library(directory=tmp_path).root(name)
    assert str(refused.value) == line


def test_pictures_are_found_where_the_typesetter_finds_them(tmp_path: Path) -> None:
    _plant(tmp_path, {"src/a.ly": []})
    for name in ("src/beside.eps", "i/both.eps", "both.eps", "here.eps", "src/here.eps"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"%!PS")
    library = Library(["i"], directory=tmp_path)
    root = library.root("src/a.ly")
    found = {name: library.asset(root, name) for name in ("both.eps", "here.eps", "beside.eps", "nothing.eps")}
    assert found == {
        "both.eps": tmp_path / "i" / "both.eps",
        "here.eps": tmp_path / "here.eps",
        "beside.eps": tmp_path / "src" / "beside.eps",
        "nothing.eps": None,
    }


def test_a_twin_has_the_same_files_with_other_bytes_and_reads_no_disk(tmp_path: Path) -> None:
    _plant(tmp_path, {"src/a.ly": ["n.ily"], "src/n.ily": []})
    library = Library(directory=tmp_path)
    root = library.root("src/a.ly")
    included = library.include(root, "n.ily")
    assert isinstance(included, Found)
    for name in ("src/a.ly", "src/n.ily"):
        (tmp_path / name).write_bytes(b"overwritten by another process")
    twin, files = library.twin({included.file: b"new"})
    again = twin.include(twin.reopen(files[root]), "n.ily")
    assert again == Found(files[included.file])
    assert files[included.file].data == b"new"
    assert files[root].data == root.data
    assert os.fspath(files[root].name) == root.name
