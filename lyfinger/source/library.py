"""Where a run's source files come from: reading bytes within limits, and looking up includes.

Include lookup is LilyPond's (measured with 2.25.12): the directory of the including file *as it was named*, if
that name has a directory part; then LilyPond's own files; then the ``-I`` directories in order; then the working
directory. A symbolic link is looked up beside the link, since that is how it was named.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from .messages import Refused
from .paths import named_in_text
from .text import Place, SourceFile, Stretch
from .typesetter import TYPESETTERS_FILES

STANDARD_INPUT = "-"


class Found(NamedTuple):
    """The include is this file."""

    file: SourceFile


class Typesetters(NamedTuple):
    """The include is one of LilyPond's own files; ``name`` is its plain file name, e.g. ``english.ly``."""

    name: str


class Missing(NamedTuple):
    """No such include; ``searched`` are the directories that were tried, in order."""

    name: str
    searched: tuple[str, ...]


Included = Found | Typesetters | Missing


class Limits(NamedTuple):
    """How much one run reads: bytes of one file, bytes in all, and the number of files."""

    file_bytes: int = 64 * 2**20
    total_bytes: int = 256 * 2**20
    files: int = 5000


class Library:
    """The files of one run. Each real file is read once, and is one :class:`SourceFile`, however often it is named.

    Relative names count from ``directory`` (the working directory, unless a test says otherwise). ``texts`` are bytes
    to be read in place of what is on disk, by real path: what an editor has not saved yet.
    """

    def __init__(
        self,
        include_dirs: Sequence[str | Path] = (),
        *,
        directory: Path | None = None,
        limits: Limits | None = None,
        texts: Mapping[str, bytes] | None = None,
    ) -> None:
        self._texts = texts or {}
        self._include_dirs = tuple(os.fspath(item) for item in include_dirs)
        self._directory = Path(directory) if directory is not None else Path.cwd()
        self._limits = limits or Limits()
        self._by_real_path: dict[str, SourceFile] = {}
        self._names: dict[SourceFile, list[str]] = {}
        self._bytes = 0
        self.opened: list[tuple[SourceFile, str, str]] = []
        """Each time that a file was opened, in order: its real path, empty for standard input, and by which name."""

    @property
    def files(self) -> tuple[SourceFile, ...]:
        """Every file of the run, in the order in which they were first met."""
        return tuple(self._names)

    def names(self, file: SourceFile) -> tuple[str, ...]:
        """Every name by which a file was reached, in the order in which they were met last."""
        return tuple(self._names[file])

    def shown_names(self, file: SourceFile) -> tuple[str, ...]:
        """Every name by which a file was reached, seen from the working directory where it lies below that, and
        without ``.`` and ``..`` where that names the same file."""
        if file.path is None:
            return ()
        real = os.path.realpath(file.path)
        names = (self._shown(name, real) for name in self._names[file])
        return tuple(dict.fromkeys(self.shown(Path(name)) if os.path.isabs(name) else name for name in names))

    def shown(self, path: Path) -> str:
        """An absolute path as it is called from the working directory, where it lies below that."""
        return str(path.relative_to(self._directory)) if path.is_relative_to(self._directory) else str(path)

    def absolute(self, name: str | Path) -> Path:
        """A name of this run as an absolute path: links are kept, ``.`` and ``..`` are folded."""
        return Path(os.path.normpath(self._directory / name))

    def root(self, path: str | Path) -> SourceFile:
        """The file that the user named.

        Raises Refused if it can't be read, is too large, or is no text that LilyPond could read.
        """
        if not os.fspath(path):
            raise Refused("a file name is empty")
        return self._open(os.fspath(path), None)

    def stdin(self, data: bytes, name: str = STANDARD_INPUT) -> SourceFile:
        """Standard input as a root; ``name`` stands for it in messages and include lookup. Raises Refused."""
        file = SourceFile(name, data)
        self._admit(file, None)
        self._meet(file, "", name)
        return file

    def take(self, file: SourceFile, real: str, name: str) -> None:
        """Count a file as opened by a name, as a library of another process has done, which knows its real path.

        Raises Refused if that is too much for this one.
        """
        if file not in self._names:
            self._admit(file, None)
            if real:
                self._by_real_path[real] = file
        self._meet(file, real, name)

    def stretch(self, part: Stretch) -> Stretch:
        """Take in a stretch of a file of this run as a root: its includes count from where those of that file do."""
        self._names[part] = list(self._names[part.whole])
        return part

    def include(self, including: SourceFile, name: str, place: Place | None = None) -> Included:
        """What ``\\include "name"`` in a file stands for; ``place`` (of the command) begins a refusal.

        Raises Refused if the file is there but can't be read, is too large, or is no text.
        """
        asked = named_in_text(name)
        beside = os.path.dirname(self._names[including][-1])
        if beside and not os.path.isabs(asked) and self._is_file(os.path.join(beside, asked)):
            return Found(self._open(os.path.join(beside, asked), place))
        if name in TYPESETTERS_FILES:
            return Typesetters(name)
        if os.path.isabs(asked):
            return Found(self._open(asked, place)) if self._is_file(asked) else Missing(name, ())
        for folder in (*self._include_dirs, ""):
            candidate = os.path.join(folder, asked)
            if self._is_file(candidate):
                return Found(self._open(candidate, place))
        folders = (*([beside] if beside else []), *self._include_dirs, ".")
        return Missing(name, tuple(dict.fromkeys(folders)))

    def asset(self, including: SourceFile, name: str) -> Path | None:
        """The absolute path of another file that the music names (a picture), or None if there is none.

        LilyPond looks for it in the ``-I`` directories, then the working directory, and never beside the file
        that names it (measured with 2.25.12); that folder comes last here, for scores engraved from inside it.
        """
        beside = os.path.dirname(self._names[including][-1])
        for folder in (*self._include_dirs, "", beside):
            candidate = os.path.join(folder, named_in_text(name))
            if self._is_file(candidate):
                return self.absolute(candidate)
        return None

    def twin(self, changed: Mapping[SourceFile, bytes]) -> tuple[Library, dict[SourceFile, SourceFile]]:
        """A library that holds the same files with other bytes, and the new file for each old one.

        What was read once is not read from disk again; so what a reading of the twin finds is due to the change.
        """
        other = Library(self._include_dirs, directory=self._directory, limits=self._limits)
        other._bytes = self._bytes
        files = {file: SourceFile(file.name, changed.get(file, file.data), file.path) for file in self._names}
        other._by_real_path = {real: files[file] for real, file in self._by_real_path.items()}
        other._names = {files[file]: list(names) for file, names in self._names.items()}
        return other, files

    def reopen(self, file: SourceFile) -> SourceFile:
        """Begin again with a file that is a root: its includes count from the name by which it was first met."""
        self._names[file].sort(key=lambda name: name == file.name)
        return file

    def _is_file(self, name: str) -> bool:
        try:
            return (self._directory / name).is_file()
        except (OSError, ValueError):
            return False

    def _open(self, name: str, place: Place | None) -> SourceFile:
        try:
            real = os.path.realpath(self._directory / name, strict=True)
            file = self._by_real_path.get(real)
            if file is None:
                file = SourceFile(self._shown(name, real), self._read(name, real, place), self.absolute(name))
                self._admit(file, place)
                self._by_real_path[real] = file
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
            raise Refused(f"can't read {name}: {reason}", place) from error
        self._meet(file, real, name)
        return file

    def _meet(self, file: SourceFile, real: str, name: str) -> None:
        named = self._names.setdefault(file, [])
        if name in named:
            named.remove(name)
        named.append(name)  # the last is the one that it is open by now, and that its own includes count from
        self.opened.append((file, real, name))

    def _shown(self, name: str, real: str) -> str:
        """The name in messages: without ``.`` and ``..``, where a link on the way doesn't give these a meaning."""
        folded = os.path.normpath(name)
        return folded if os.path.realpath(self._directory / folded) == real else name

    def _read(self, name: str, real: str, place: Place | None) -> bytes:
        if real in self._texts:
            data = self._texts[real]
        else:
            with open(self._directory / name, "rb") as stream:
                data = stream.read(self._limits.file_bytes + 1)
        if len(data) > self._limits.file_bytes:
            raise Refused(f"{name} is larger than {self._limits.file_bytes} bytes", place)
        return data

    def _admit(self, file: SourceFile, place: Place | None) -> None:
        self._bytes += len(file.data)
        if self._bytes > self._limits.total_bytes:
            raise Refused(f"the files of this run are larger than {self._limits.total_bytes} bytes in all", place)
        if len(self._names) >= self._limits.files:
            raise Refused(f"this run reaches more than {self._limits.files} files", place)
        refuse_unless_text(file)


def read_picture(path: Path, place: Place | None = None) -> bytes:
    """The bytes of a picture that the music names, at ``place``. Raises Refused if it can't be read or is too large."""
    return read_within(path, Limits().file_bytes, str(path), place)


def read_within(path: Path, most: int, name: str, place: Place | None = None) -> bytes:
    """The bytes of a file that messages call ``name``. Raises Refused if it can't be read or has more than ``most``."""
    try:
        with path.open("rb") as stream:
            data = stream.read(most + 1)
    except (OSError, ValueError) as error:
        raise Refused(f"can't read {name}: {getattr(error, 'strerror', None) or error}", place) from error
    if len(data) > most:
        raise Refused(f"{name} is larger than {most} bytes", place)
    return data


def refuse_unless_text(file: SourceFile) -> None:
    """Raise Refused, with the place, for UTF-16 and for a NUL byte; any other bytes come back unchanged."""
    if file.data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Refused("this is UTF-16; LilyPond reads UTF-8 only", Place(file, 0))
    if b"\0" in file.data:
        raise Refused("a NUL byte: this is not the text of a score", Place(file, file.text.index("\0")))
