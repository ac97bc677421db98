"""Writing files whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from .messages import Refused


def replace_file(path: Path, data: bytes) -> None:
    """Put ``data`` under ``path`` in one step; as :func:`replace_files` for one file."""
    replace_files([(path, data)])


def replace_files(items: Iterable[tuple[Path, bytes]]) -> None:
    """Put bytes under each path: at any instant the old file or the new one stands there, whole.

    All files are written beside their targets before the first one is renamed, so that a full disk or a forbidden
    folder leaves every target as it was. A symbolic link stays a link, and its target is replaced. An existing file
    keeps its mode, a new one gets the usual one. Devices and pipes (``/dev/stdout``) are written to as they are.
    Raises Refused, also for a file whose mode forbids writing.
    """
    staged: list[_Staged] = []
    try:
        for path, data in items:
            with _refusing(path):
                staged.append(_stage(path, data))
        while staged:
            with _refusing(staged[0].path):
                staged[0].finish()
            staged.pop(0)
    finally:
        for item in staged:
            item.discard()


def is_already(path: Path, data: bytes) -> bool:
    """Whether a regular file stands under ``path`` and has these bytes."""
    try:
        return path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data
    except OSError:
        return False


class _Staged(NamedTuple):
    """Bytes that stand under a temporary name beside their target (or, for a device, wait in ``direct``)."""

    path: Path
    target: Path
    temporary: str | None
    direct: bytes = b""

    def finish(self) -> None:
        if self.temporary is not None:
            os.replace(self.temporary, self.target)
            return
        with open(self.target, "wb", buffering=0) as stream:
            _write_all(stream.fileno(), self.direct)

    def discard(self) -> None:
        if self.temporary is not None:
            with contextlib.suppress(OSError):
                os.unlink(self.temporary)


@contextlib.contextmanager
def _refusing(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise Refused(f"can't write {path}: {error.strerror or error}") from error


def _stage(path: Path, data: bytes) -> _Staged:
    target = Path(os.path.realpath(path))
    mode = _mode(target)
    if mode is None:
        return _Staged(path, target, _write_beside(target, data, _default_mode()))
    if stat.S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if not os.access(target, os.W_OK):  # to replace it would get round its mode
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    if not stat.S_ISREG(mode):
        return _Staged(path, target, None, data)
    return _Staged(path, target, _write_beside(target, data, stat.S_IMODE(mode)))


def _write_beside(target: Path, data: bytes, mode: int) -> str:
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:60]}.", suffix=".tmp", dir=target.parent)
    try:
        try:
            _write_all(handle, data)
            os.fsync(handle)
        finally:
            os.close(handle)
        os.chmod(name, mode)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    return name


def _write_all(handle: int, data: bytes) -> None:
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(handle, rest) :]


def _mode(path: Path) -> int | None:
    try:
        return os.stat(path).st_mode
    except FileNotFoundError:
        return None


def _default_mode() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
