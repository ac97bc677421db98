"""A marked score, engraved in a folder of its own: its pages as pictures, and where on them its source stands."""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import TracebackType

from ..source.library import Library, read_picture
from ..source.messages import Message, Refused, Severity, one_line
from ..source.text import Place, SourceFile, Stretch, decode
from .links import Box, LinkedPage, linked_pages
from .typesetter import Route, Typesetter

_SIZE = re.compile(rb'viewBox="0 0 ([\d.]+) ([\d.]+)"')
_ERROR = re.compile(r"(?:(?P<path>[^\n]*?):(?P<line>\d+):(?P<column>\d+): )?[a-z ]*error: (?P<text>[^\n]*)")
_NUMBER = re.compile(r"\d+")
_NAME = "page"
_SCORE = "lyfinger-score.ly"


@dataclass(frozen=True, slots=True)
class Sheet:
    """One engraved page: a picture (``kind`` as in ``image/kind``), and its size in points."""

    data: bytes
    kind: str
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


def joined(parts: Sequence[Engraved]) -> Engraved:
    """Several scores engraved one after the other, as one."""
    sheets: list[Sheet] = []
    spots: list[Spot] = []
    messages: dict[str, Message] = {}
    for part in parts:
        first = len(sheets)
        spots += (replace(spot, box=replace(spot.box, page=spot.box.page + first)) for spot in part.spots)
        sheets += part.sheets
        messages |= {str(message): message for message in part.messages}
    return Engraved(tuple(sheets), tuple(spots), tuple(messages.values()))


@dataclass(frozen=True, slots=True)
class Copy:
    """What is to be engraved: a run's files, ``data`` the bytes of those that were marked, and other files.

    ``back`` says where a character of the marked text stands in the source; ``folders`` are those of ``-I``.
    """

    library: Library
    data: Mapping[SourceFile, bytes]
    back: Callable[[SourceFile, int], int]
    pictures: Sequence[Path]
    folders: Sequence[Path]


class Engraving:
    """The typesetter at work on a copy of a root and its files.

    To be used with ``with``: at its end the copy is gone, and the typesetter too. The working directory is looked
    through for included files as well, as it is when the score is engraved from there.
    """

    def __init__(self, program: str, copied: Copy, root: SourceFile, score: str | None = None) -> None:
        """Start it. ``score`` is the source of a score to print where the root, which it includes, has none.

        Raises Refused if it can't be started.
        """
        self._holder = tempfile.TemporaryDirectory(prefix="lyfinger-")
        self._program, self._copied, self._root = program, copied, root
        self._files: dict[str, SourceFile] = {}
        self._lines: dict[str, tuple[SourceFile | None, list[int]]] = {}
        try:
            self._top = Path(os.path.realpath(self._holder.name))
            self._common = self._put_all(root)
            self._source = self._copy(copied.library.absolute(root.name))
            if score is not None:
                name = self._source.name.replace("\\", "\\\\").replace('"', '\\"')
                self._source = self._source.with_name(_SCORE)
                self._source.write_text(f'\\include "{name}"\n{score}', "utf-8", "surrogateescape")
            self._folder = self._top / Route.CAIRO.name
            self._typesetter = self._started(Route.CAIRO)
        except BaseException:
            self._holder.cleanup()
            raise

    def __enter__(self) -> Engraving:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._typesetter.end()
        self._holder.cleanup()

    def _put_all(self, root: SourceFile) -> Path:
        """Copy all files to below ``tree``; returns the folder that ``tree`` stands for."""
        library, data = self._copied.library, self._copied.data
        files = [file for file in library.files if file is root or not isinstance(file, Stretch)]
        places = {library.absolute(name): file for file in files for name in library.names(file)}
        if isinstance(root, Stretch):  # it stands where its document does
            places |= {library.absolute(name): root for name in library.names(root)}
        pictures = self._copied.pictures
        self._common = _common_folder([path.parent for path in (*places, *pictures)])
        for path, file in places.items():
            self._files[os.path.realpath(self._put(path, data.get(file, file.data)))] = file
        for path in pictures:
            self._put(path, read_picture(path))
        return self._common

    def _started(self, route: Route) -> Typesetter:
        folders = [*self._copied.folders, Path.cwd()]
        own = [self._copy(folder) for folder in folders if folder.is_relative_to(self._common)]
        self._folder = self._top / route.name
        self._folder.mkdir()
        folders = [*own, *self._copied.folders]
        return Typesetter(self._program, route, self._source, self._folder / _NAME, folders)

    def _copy(self, path: Path) -> Path:
        return self._top / "tree" / path.relative_to(self._common)

    def _put(self, path: Path, data: bytes) -> Path:
        copy = self._copy(path)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(data)
        return copy

    def result(self, limit: float = 0, seen: Callable[[float], None] = lambda _: None) -> Engraved:
        """What was engraved, once it is finished; ``limit`` seconds and ``seen`` are those of :class:`Typesetter`.

        Raises Refused if nothing was engraved, with what the typesetter said, or if it took longer.
        """
        self._wait(limit, seen)
        if self._typesetter.failed and "cairo" in self._typesetter.said.casefold() and not self._pdfs():
            self._typesetter = self._started(Route.POSTSCRIPT)
            self._wait(limit, seen)
        sheets: list[Sheet] = []
        spots: list[Spot] = []
        for pdf in self._pdfs():
            pages = linked_pages(pdf, len(sheets))
            sheets += self._sheets(pdf, pages)
            spots += (spot for page in pages for box in page.boxes for spot in self._spot(box))
        place, said = self._said()
        if not sheets:
            raise Refused(f"proof: LilyPond engraved nothing: {said or 'it printed no page'}", place)
        text = f"LilyPond reports an error, and the page may lack something: {said}"
        place = place or Place(self._root, 0)
        broken = [Message(Severity.WARNING, place, text, "engraving")] if self._typesetter.failed else []
        return Engraved(tuple(sheets), tuple(spots), tuple(broken))

    def _wait(self, limit: float, seen: Callable[[float], None]) -> None:
        if not self._typesetter.wait(limit, seen):
            raise Refused(
                f"proof: LilyPond was ended after {limit:g} seconds; --timeout gives it longer", Place(self._root, 0)
            )

    def _pdfs(self) -> list[Path]:
        return sorted(self._folder.glob("*.pdf"))

    def _sheets(self, pdf: Path, pages: Sequence[LinkedPage]) -> Iterator[Sheet]:
        """The pictures of a book, page by page: ``page-10001.svg``, or ``page-10001-1.svg`` and so on."""
        found = [path for path in pdf.parent.glob(f"{pdf.stem}[.-]*") if path.suffix in (".svg", ".png")]
        if len(found) != len(pages):
            raise Refused(f"proof: LilyPond wrote {len(found)} pictures for {len(pages)} pages")
        in_order = sorted(found, key=lambda path: [int(number) for number in _NUMBER.findall(path.stem)])
        for path, page in zip(in_order, pages, strict=True):
            data = path.read_bytes()
            size = _SIZE.search(data) if path.suffix == ".svg" else None
            width, height = (float(size[1]), float(size[2])) if size else (page.width, page.height)
            yield Sheet(data, "svg+xml" if path.suffix == ".svg" else "png", width, height)

    def _spot(self, box: Box) -> Iterator[Spot]:
        if box.path not in self._lines:
            file = self._files.get(os.path.realpath(box.path))
            self._lines[box.path] = file, [] if file is None else _line_starts(self._text(file))
        file, lines = self._lines[box.path]
        if file is not None and box.line <= len(lines):
            yield Spot(box, file, lines[box.line - 1] + box.char)

    def _text(self, file: SourceFile) -> str:
        return decode(self._copied.data.get(file, file.data))

    def _said(self) -> tuple[Place | None, str]:
        """The typesetter's first error: its place in the source, where it names one, and its text in one line."""
        said = self._typesetter.said
        found = _ERROR.search(said)
        if found is None:
            return None, one_line(self._as_known(said.strip().partition("\n")[0]))
        text = one_line(self._as_known(found["text"]))
        file = self._files.get(os.path.realpath(found["path"])) if found["path"] else None
        if file is None:
            return None, text
        marked = SourceFile(file.name, self._copied.data.get(file, file.data))
        offset = marked.offset_of(int(found["line"]), int(found["column"]))
        return (None if offset is None else Place(file, self._copied.back(file, offset))), text

    def _as_known(self, text: str) -> str:
        """Text with the names of the copies as the user knows them."""
        return text.replace(f"{self._top / 'tree'}{os.sep}", f"{self._common}{os.sep}")


def _line_starts(text: str) -> list[int]:
    return [0, *(match.end() for match in re.finditer("\n", text))]


def _common_folder(folders: Sequence[Path]) -> Path:
    """The folder below which all of them lie. Raises Refused where there is none: on several drives of Windows."""
    try:
        return Path(os.path.commonpath(folders))
    except ValueError as error:
        raise Refused("proof: the files of a score must lie on one drive") from error
