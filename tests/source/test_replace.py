"""A file is written whole or not at all, whatever fails on the way."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from lyfinger.source.messages import Refused
from lyfinger.source.replace import replace_file, replace_files


def test_new_file_gets_the_usual_mode(tmp_path: Path) -> None:
    mask = os.umask(0o027)
    try:
        replace_file(tmp_path / "new.ly", b"new")
    finally:
        os.umask(mask)
    assert (tmp_path / "new.ly").read_bytes() == b"new"
    assert stat.S_IMODE((tmp_path / "new.ly").stat().st_mode) == 0o640


@pytest.mark.parametrize("mode", [0o600, 0o644, 0o664, 0o755])
def test_mode_is_kept(tmp_path: Path, mode: int) -> None:
    path = tmp_path / "score.ly"
    path.write_bytes(b"old")
    path.chmod(mode)
    replace_file(path, b"new")
    assert path.read_bytes() == b"new"
    assert stat.S_IMODE(path.stat().st_mode) == mode


def test_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    real, link = tmp_path / "real" / "score.ly", tmp_path / "link.ly"
    real.write_bytes(b"old")
    link.symlink_to(Path("real", "score.ly"))
    replace_file(link, b"new")
    assert link.is_symlink()
    assert os.readlink(link) == os.path.join("real", "score.ly")
    assert real.read_bytes() == b"new"
    assert sorted(os.listdir(tmp_path)) == ["link.ly", "real"]


def test_dangling_link_makes_its_target(tmp_path: Path) -> None:
    link = tmp_path / "link.ly"
    link.symlink_to("missing.ly")
    replace_file(link, b"new")
    assert link.is_symlink()
    assert (tmp_path / "missing.ly").read_bytes() == b"new"


def _full_disk(*_: object, **__: object) -> int:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def _write_a_little_then_fail() -> Callable[[int, memoryview], int]:
    write = os.write
    calls: list[int] = []

    def failing(handle: int, data: memoryview) -> int:
        calls.append(handle)
        return write(handle, data[:2]) if len(calls) == 1 else _full_disk()

    return failing


@pytest.mark.parametrize("call", ["write", "fsync", "chmod", "replace", "close"])
def test_failure_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    path = tmp_path / "score.ly"
    path.write_bytes(b"old")
    close = os.close

    def close_then_fail(handle: int) -> None:
        close(handle)
        _full_disk()

    failing = {"write": _write_a_little_then_fail(), "close": close_then_fail}.get(call, _full_disk)
    with monkeypatch.context() as patch:
        patch.setattr(os, call, failing)
        with pytest.raises(Refused) as refused:
            replace_file(path, b"a new and longer text")
    assert str(refused.value) == f"lyfinger: can't write {path}: No space left on device"
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["score.ly"]


def test_an_interrupt_leaves_the_old_file_and_nothing_else(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "score.ly"
    path.write_bytes(b"old")

    def interrupted(_: int) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", interrupted)
        with pytest.raises(KeyboardInterrupt):
            replace_file(path, b"new")
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["score.ly"]


def test_a_partial_write_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write = os.write
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", lambda handle, data: write(handle, data[:3]))
        replace_file(tmp_path / "score.ly", b"a text of several writes")
    assert (tmp_path / "score.ly").read_bytes() == b"a text of several writes"


def test_if_one_file_fails_none_is_replaced(tmp_path: Path) -> None:
    first = tmp_path / "first.ly"
    first.write_bytes(b"old")
    with pytest.raises(Refused, match="can't write"):
        replace_files([(first, b"new"), (tmp_path / "no such folder" / "second.ly", b"new")])
    assert first.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["first.ly"]


def test_a_folder_is_no_target(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="Is a directory"):
        replace_file(tmp_path, b"new")


def test_a_file_that_forbids_writing_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "score.ly"
    path.write_bytes(b"old")
    path.chmod(0o444)
    with monkeypatch.context() as patch:
        patch.setattr(os, "access", lambda *_: False)  # whoever runs the tests may be allowed everything
        with pytest.raises(Refused, match="Permission denied"):
            replace_file(path, b"new")
    assert path.read_bytes() == b"old"


def test_a_pipe_is_written_to_and_stays(tmp_path: Path) -> None:
    path = tmp_path / "pipe"
    os.mkfifo(path)
    reader = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    try:
        replace_file(path, b"through the pipe")
        assert os.read(reader, 100) == b"through the pipe"
    finally:
        os.close(reader)
    assert stat.S_ISFIFO(path.stat().st_mode)
