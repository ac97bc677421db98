"""A unified diff of bytes, as ``patch`` reads it."""

from __future__ import annotations

import difflib
import os

_NO_NEWLINE = b"\n\\ No newline at end of file\n"


def unified_diff(name: str, old: bytes, new: bytes) -> bytes:
    """The difference between two versions of a file, lines cut at LF only, so that a CR stays where it is."""
    label = os.fsencode(name)
    lines = difflib.diff_bytes(difflib.unified_diff, _lines(old), _lines(new), label, label, lineterm=b"\n")
    return b"".join(line if line.endswith(b"\n") else line + _NO_NEWLINE for line in lines)


def _lines(data: bytes) -> list[bytes]:
    lines = [line + b"\n" for line in data.split(b"\n")]
    lines[-1] = lines[-1][:-1]
    return lines if lines[-1] else lines[:-1]
