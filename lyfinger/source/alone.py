"""One process at a time in a folder that several may be told to write to."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Iterator
from pathlib import Path

from .messages import Refused

PATIENCE = 60.0
"""Seconds that are waited for another process; writing takes a fraction of one."""


@contextlib.contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Hold a folder against other processes that ask for it, however this one ends; nothing is put into it.

    Where the system or the file system has no such locks, nothing is held. Raises Refused if another process does not
    let go in time.
    """
    try:
        import fcntl

        handle = os.open(folder, os.O_RDONLY)
    except (ImportError, OSError):
        yield
        return
    try:
        end = time.monotonic() + PATIENCE
        while True:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except BlockingIOError:
                if time.monotonic() > end:
                    raise Refused(f"another process is writing to {folder}; nothing is written") from None
                time.sleep(0.02)
            except OSError:
                break
        yield
    finally:
        os.close(handle)
