"""From a FILE to what is read of it: a score is one root, a document with music has one for each snippet."""

from __future__ import annotations

from typing import NamedTuple

from ..score.model import Reading
from ..source.books import alone, is_book, snippets
from ..source.library import Library
from ..source.text import SourceFile, Stretch
from .reader import read


class Root(NamedTuple):
    """A FILE and its readings. ``parts`` are the snippets that were read in its place, None for a score."""

    file: SourceFile
    readings: tuple[Reading, ...]
    parts: tuple[Stretch, ...] | None = None


def read_root(file: SourceFile, library: Library, *, strict: bool) -> Root:
    """Read a FILE that is in the library. Raises Refused as :func:`lyfinger.reading.reader.read` does."""
    if not is_book(file.name):
        return Root(file, (read(library.reopen(file), library, strict=strict),))
    parts = tuple(library.stretch(alone(file, snippet)) for snippet in snippets(file))
    return Root(file, tuple(read(library.reopen(part), library, strict=strict) for part in parts), parts)
