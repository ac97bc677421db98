"""The mirrored tree: where files land, what is refused, and two roots that share a file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lyfinger.source.layout import Layout, Output, refuse_overwriting, write_tree
from lyfinger.source.messages import Refused
from lyfinger.source.records import RootRecord, digest, read_records


@pytest.fixture
def layout(tmp_path: Path) -> Layout:
    (tmp_path / "src" / "parts").mkdir(parents=True)
    (tmp_path / "src" / "parts" / "harp.ly").write_bytes(b"part")
    (tmp_path / "src" / "notes.ily").write_bytes(b"notes")
    return Layout(tmp_path / "src", tmp_path / "build")


def _record(layout: Layout, root: str, digits: bytes, settings: str = "1") -> RootRecord:
    notes = layout.root / "notes.ily"
    return RootRecord(root, settings, {"notes.ily": digest(notes.read_bytes())}, {"notes.ily": digest(digits)})


def _tree(directory: Path) -> list[str]:
    return sorted(str(path.relative_to(directory)) for path in directory.rglob("*") if path.is_file())


def test_every_file_lands_at_its_path_below_the_root(layout: Layout) -> None:
    files = [layout.root / "parts" / "harp.ly", layout.root / "notes.ily"]
    write_tree(layout, [Output(path, path.read_bytes() + b" marked") for path in files], [])
    assert _tree(layout.directory) == ["notes.ily", "parts/harp.ly"]
    assert (layout.directory / "parts" / "harp.ly").read_bytes() == b"part marked"


def test_a_file_outside_the_root_is_refused_and_nothing_written(layout: Layout, tmp_path: Path) -> None:
    outside = tmp_path / "house-style.ily"
    with pytest.raises(Refused) as refused:
        write_tree(layout, [Output(layout.root / "notes.ily", b"x"), Output(outside, b"x")], [])
    assert str(refused.value) == (
        f"lyfinger: {outside} lies outside the root {layout.root}; name a folder above both with --root"
    )
    assert not layout.directory.exists()


def test_a_root_that_is_reached_through_a_link(tmp_path: Path, layout: Layout) -> None:
    (tmp_path / "link").symlink_to("src")
    by_link = Layout(tmp_path / "link", tmp_path / "build")
    assert by_link.target(layout.root / "notes.ily") == tmp_path / "build" / "notes.ily"
    assert layout.target(tmp_path / "link" / "notes.ily") == tmp_path / "build" / "notes.ily"


def test_a_linked_file_lands_where_it_is_named(tmp_path: Path, layout: Layout) -> None:
    (layout.root / "parts" / "notes.ily").symlink_to(Path("..", "notes.ily"))
    assert layout.target(layout.root / "parts" / "notes.ily") == tmp_path / "build" / "parts" / "notes.ily"


@pytest.mark.parametrize("directory", ["src", "src/../src", "link"])
def test_a_source_is_never_a_target(tmp_path: Path, layout: Layout, directory: str) -> None:
    (tmp_path / "link").symlink_to("src")
    onto_itself = Layout(layout.root, tmp_path / directory)
    with pytest.raises(Refused, match="is a source of this run and is not overwritten"):
        write_tree(onto_itself, [Output(layout.root / "notes.ily", b"x")], [])
    assert (layout.root / "notes.ily").read_bytes() == b"notes"


def test_refuse_overwriting_follows_links(tmp_path: Path) -> None:
    (tmp_path / "a.ly").write_bytes(b"a")
    (tmp_path / "link.ly").symlink_to("a.ly")
    with pytest.raises(Refused, match="is a source of this run"):
        refuse_overwriting(tmp_path / "link.ly", [tmp_path / "a.ly"])
    refuse_overwriting(tmp_path / "b.ly", [tmp_path / "a.ly"])


def test_two_roots_that_agree_on_a_shared_file(layout: Layout) -> None:
    for root in ("parts/harp.ly", "score.ly"):
        write_tree(layout, [Output(layout.root / "notes.ily", b"c^1")], [_record(layout, root, b"c^1")])
    assert [record.root for record in read_records(layout.directory)] == ["parts/harp.ly", "score.ly"]


def test_two_roots_that_do_not_agree_are_both_named_and_nothing_is_written(layout: Layout) -> None:
    write_tree(layout, [Output(layout.root / "notes.ily", b"c^1")], [_record(layout, "parts/harp.ly", b"c^1")])
    before = _tree(layout.directory)
    with pytest.raises(Refused) as refused:
        write_tree(layout, [Output(layout.root / "notes.ily", b"c^2")], [_record(layout, "score.ly", b"c^2")])
    assert str(refused.value) == (
        "lyfinger: notes.ily would get other digits from score.ly than parts/harp.ly gave it: mark both in one run"
    )
    assert _tree(layout.directory) == before
    assert (layout.directory / "notes.ily").read_bytes() == b"c^1"


def test_marked_in_one_run_they_replace_what_each_gave(layout: Layout) -> None:
    write_tree(layout, [Output(layout.root / "notes.ily", b"c^1")], [_record(layout, "parts/harp.ly", b"c^1")])
    both = [_record(layout, root, b"c^2") for root in ("parts/harp.ly", "score.ly")]
    write_tree(layout, [Output(layout.root / "notes.ily", b"c^2")], both)
    assert (layout.directory / "notes.ily").read_bytes() == b"c^2"


@pytest.mark.parametrize("change", ["source edited", "source gone", "other settings", "no record"])
def test_digits_that_are_merely_old_are_replaced(layout: Layout, change: str) -> None:
    write_tree(layout, [Output(layout.root / "notes.ily", b"c^1")], [_record(layout, "parts/harp.ly", b"c^1")])
    after = _record(layout, "score.ly", b"c^2", settings="2" if change == "other settings" else "1")
    if change == "source edited":
        (layout.root / "notes.ily").write_bytes(b"other notes")
    elif change == "source gone":
        os.unlink(layout.root / "notes.ily")
    elif change == "no record":
        (layout.directory / ".lyfinger" / "parts" / "harp.ly.json").write_bytes(b'{"of": "another version"}')
    write_tree(layout, [Output(layout.root / "notes.ily", b"c^2")], [after])
    assert (layout.directory / "notes.ily").read_bytes() == b"c^2"
