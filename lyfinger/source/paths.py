"""Names of files, as the system, a source and a build tool have them."""

from __future__ import annotations

import os
import sys
from pathlib import PurePath

from .text import encode


def from_here(path: str | PurePath) -> str:
    """A path from the working directory; the whole path where none leads there, as on another drive of Windows."""
    try:
        return os.path.relpath(path)
    except ValueError:
        return os.path.abspath(path)


def named_in_text(name: str) -> str:
    """A file name that stands in a source, as the system is asked for it.

    To LilyPond a name is the bytes of the source. Where the locale is no UTF-8 (``LC_ALL=C`` without Python's UTF-8
    mode), the same characters would be other bytes.
    """
    if sys.getfilesystemencoding() == "utf-8":
        return name
    return os.fsdecode(encode(name))


def for_build(name: str, separator: str | None = None) -> str:
    r"""A file name as a rule of make or ninja has it: with slashes, which both know on Windows too.

    >>> for_build("Parts\\a.ly", "\\"), for_build("a\\b.ly", "/")
    ('Parts/a.ly', 'a\\b.ly')
    """
    return name.replace(separator or os.sep, "/")
