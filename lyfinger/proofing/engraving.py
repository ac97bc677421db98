"""A marked score, engraved in a folder of its own: its pages as SVG, and where on them its source stands."""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

from ..source.library import Library
from ..source.messages import Message, Refused, Severity, one_line
from ..source.text import Place, SourceFile
from .links import Box, boxes, page_count
from .typesetter import start

_SIZE = re.compile(rb'viewBox="0 0 ([\d.]+) ([\d.]+)"')
_NAME = "page"


@dataclass(frozen=True, slots=True)
class Sheet:
    """One engraved page: an SVG document, and its size in points."""

    svg: bytes
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Spot:
    """A box on a page (points from its top left; pages 0-based), and the place in the marked text that it shows."""

    box: Box
    file: SourceFile
    offset: int


@dataclass(frozen=True, slots=True)
class Engraved:
    """The pages, the spots on them by page, and what is to be said about it."""

    sheets: tuple[Sheet, ...]
    spots: tuple[Spot, ...]
    messages: tuple[Message, ...]


class Engraving:
    """The typesetter at work on a copy of a run's files, with ``data`` as the bytes of those that were marked.

    To be used with ``with``: at its end the copy is gone. ``folders`` are those of ``-I``. The working directory is
    looked through for included files too, as it is when the score is engraved from there.
    """

    def __init__(
        self,
        program: str,
        library: Library,
        root: SourceFile,
        data: Mapping[SourceFile, bytes],
        pictures: Sequence[Path],
        folders: Sequence[Path],
    ) -> None:
        self._holder = tempfile.TemporaryDirectory(prefix="lyfinger-")
        try:
            self._top = Path(os.path.realpath(self._holder.name))
            self._files: dict[str, SourceFile] = {}
            self._starts: dict[SourceFile, list[int]] = {}
            self._root = root
            self._data = data
            places = {library.absolute(name): file for file in library.files for name in library.names(file)}
            self._common = _common_folder([path.parent for path in (*places, *pictures)])
            for path, file in places.items():
                self._files[os.path.realpath(self._put(path, data.get(file, file.data)))] = file
            for path in pictures:
                self._put(path, path.read_bytes())
            (self._top / "out").mkdir()
            own = [self._copy(folder) for folder in (*folders, Path.cwd()) if folder.is_relative_to(self._common)]
            source = self._copy(library.absolute(root.name))
            self._process = start(program, source, self._top / "out" / _NAME, [*own, *folders])
        except BaseException:
            self._holder.cleanup()
            raise

    def __enter__(self) -> Engraving:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait()
        self._holder.cleanup()

    def _copy(self, path: Path) -> Path:
        return self._top / "tree" / path.relative_to(self._common)

    def _put(self, path: Path, data: bytes) -> Path:
        copy = self._copy(path)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(data)
        return copy

    def result(self) -> Engraved:
        """What was engraved, once it is finished. Raises Refused if nothing was, with what the typesetter said."""
        self._process.wait()
        sheets: list[Sheet] = []
        spots: list[Spot] = []
        folder = self._top / "out"
        taken: set[Path] = set()
        for pdf in sorted(folder.glob("*.pdf"), key=lambda path: (path.stat().st_mtime_ns, path.name)):
            data = pdf.read_bytes()
            names = self._pages_of(pdf, page_count(data), taken)
            spots += (spot for box in boxes(data) for spot in self._spot(box, len(sheets)))
            sheets += (_sheet(path.read_bytes()) for path in names)
        said = self._said()
        if not sheets:
            raise Refused(f"proof: LilyPond engraved nothing: {said or 'it says nothing more'}")
        text = f"LilyPond reports an error, and the page may lack something: {said}"
        broken = (
            [Message(Severity.WARNING, Place(self._root, 0), text, "engraving")] if self._process.returncode else []
        )
        return Engraved(tuple(sheets), tuple(spots), tuple(broken))

    def _pages_of(self, pdf: Path, count: int, taken: set[Path]) -> list[Path]:
        """The SVG files of a book. Raises Refused where two books would give one of them the same name."""
        names = (
            [pdf.with_suffix(".svg")]
            if count == 1
            else [pdf.with_name(f"{pdf.stem}-{number}.svg") for number in range(1, count + 1)]
        )
        if taken.intersection(names) or not all(name.exists() for name in names):
            raise Refused("proof: the books of this file share names of pages: give them a \\bookOutputSuffix each")
        taken.update(names)
        return names

    def _spot(self, box: Box, first_page: int) -> Iterator[Spot]:
        file = self._files.get(os.path.realpath(box.path))
        if file is not None:
            text = self._data.get(file, file.data).decode("utf-8", "surrogateescape")
            lines = self._starts.setdefault(file, _line_starts(text))
            if box.line <= len(lines):
                here = Box(box.page + first_page, box.x, box.y, box.width, box.height, box.path, box.line, box.char)
                yield Spot(here, file, lines[box.line - 1] + box.char)

    def _said(self) -> str:
        """The typesetter's first error in one line, with the names of the copies as the user knows them."""
        text = (self._top / "out" / f"{_NAME}.log").read_text("utf-8", "replace")
        line = next((item for item in text.splitlines() if "error" in item), text.strip().partition("\n")[0])
        return one_line(line.replace(f"{self._top / 'tree'}{os.sep}", f"{self._common}{os.sep}"))


def _sheet(svg: bytes) -> Sheet:
    size = _SIZE.search(svg)
    if size is None:
        raise Refused("proof: LilyPond wrote a page without a size")
    return Sheet(svg, float(size[1]), float(size[2]))


def _line_starts(text: str) -> list[int]:
    return [0, *(match.end() for match in re.finditer("\n", text))]


def _common_folder(folders: Sequence[Path]) -> Path:
    """The folder below which all of them lie. Raises Refused where there is none: on several drives of Windows."""
    try:
        return Path(os.path.commonpath(folders))
    except ValueError as error:
        raise Refused("proof: the files of a score must lie on one drive") from error
