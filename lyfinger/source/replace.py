"""Writing files whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import stat
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import NamedTuple
from zlib import crc32

from .messages import Refused


def replace_file(path: Path, data: bytes) -> None:
    """Put ``data`` under ``path`` in one step; as :func:`replace_files` for one file."""
    replace_files([(path, data)])


def replace_files(items: Iterable[tuple[Path, bytes]], last_look: Callable[[], None] = lambda: None) -> None:
    """Put bytes under each path: at any instant the old file or the new one stands there, whole.

    All files are written beside their targets before the first one is renamed, so that a full disk or a forbidden
    folder leaves every target as it was; ``last_look`` is called between the two, and may raise Refused. A symbolic
    link stays a link, and its target is replaced. An existing file keeps its mode and, as far as the system lets it,
    its owner; a new one gets the usual ones. Devices and pipes (``/dev/stdout``) are written to as they are. What an
    earlier process that was killed has left in the same folders is swept away. Raises Refused, also for a file whose
    mode forbids writing.
    """
    items = tuple(items)
    sweep(path for path, _ in items)
    staged: list[_Staged] = []
    try:
        for path, data in items:
            with _refusing(path):
                staged.append(_stage(path, data))
        last_look()
        while staged:
            with _refusing(staged[0].path):
                staged[0].finish()
            staged.pop(0)
    finally:
        for item in staged:
            item.discard()


def sweep(targets: Iterable[Path]) -> None:
    """Remove what processes that were killed have left beside any of the targets: files with a temporary name of a
    process of this machine that is no more, or older than a day."""
    for folder in {os.path.dirname(os.path.realpath(target)) for target in targets}:
        with contextlib.suppress(OSError), os.scandir(folder) as entries:
            for entry in entries:
                found = _TEMPORARY.fullmatch(entry.name)
                if found and (_is_gone(found[1], int(found[2])) or _is_old(entry)):
                    with contextlib.suppress(OSError):
                        os.unlink(entry.path)


_TEMPORARY = re.compile(r"\..*\.([0-9a-f]{8})-([0-9]{1,10})\.\w{8}\.tmp", re.DOTALL)
_DAY = 24 * 60 * 60


def _machine() -> str:
    """This machine in eight letters; nothing where processes can't be asked for by number."""
    return f"{crc32(os.uname().nodename.encode('utf-8', 'replace')):08x}" if hasattr(os, "uname") else "0" * 8


def _is_gone(machine: str, process: int) -> bool:
    """Whether a process is no more. One with this process's own number was another: what this one writes it has not
    begun when it sweeps."""
    if machine != _machine() or not hasattr(os, "uname"):
        return False
    if process == os.getpid():
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return False


def _is_old(entry: os.DirEntry[str]) -> bool:
    with contextlib.suppress(OSError):
        return entry.stat(follow_symlinks=False).st_mtime < time.time() - _DAY
    return False


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
    old = _status(target)
    if old is None:
        return _Staged(path, target, _write_beside(target, data, None))
    if stat.S_ISDIR(old.st_mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if not os.access(target, os.W_OK):  # to replace it would get round its mode
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    if not stat.S_ISREG(old.st_mode):
        return _Staged(path, target, None, data)
    return _Staged(path, target, _write_beside(target, data, old))


def _write_beside(target: Path, data: bytes, old: os.stat_result | None) -> str:
    import tempfile

    prefix = f".{target.name[:40]}.{_machine()}-{os.getpid()}."
    handle, name = tempfile.mkstemp(prefix=prefix, suffix=".tmp", dir=target.parent)
    try:
        try:
            _write_all(handle, data)
            os.fsync(handle)
        finally:
            os.close(handle)
        if old is not None:
            _keep_owner(name, old)
        os.chmod(name, _default_mode() if old is None else stat.S_IMODE(old.st_mode))
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    return name


def _write_all(handle: int, data: bytes) -> None:
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(handle, rest) :]


def _keep_owner(name: str, old: os.stat_result) -> None:
    now = os.stat(name)
    if (now.st_uid, now.st_gid) != (old.st_uid, old.st_gid) and hasattr(os, "chown"):
        for owner in ((old.st_uid, old.st_gid), (-1, old.st_gid)):
            with contextlib.suppress(PermissionError):
                os.chown(name, *owner)
                return


def _status(path: Path) -> os.stat_result | None:
    try:
        return os.stat(path)
    except FileNotFoundError:
        return None


def _default_mode() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
