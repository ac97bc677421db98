"""Where things stand on the engraved pages: the boxes of the links back to the source.

The cairo backend writes SVG without links, and beside it a PDF whose annotations have them, both in points from the
same page (measured with LilyPond 2.24.3 and 2.25.12). A PDF counts from the bottom, an SVG from the top.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import unquote

_OBJECT = re.compile(rb"^(\d+) 0 obj\n(.*?)^endobj", re.MULTILINE | re.DOTALL)
_PAGE = re.compile(rb"/Type /Page\b")
_MEDIA = re.compile(rb"/MediaBox \[ ([-\d. ]+) \]")
_ANNOTATIONS = re.compile(rb"/Annots \[ ([^\]]*)\]")
_QUAD = re.compile(rb"/QuadPoints \[ ([-\d. ]+) \]")
_SOURCE = re.compile(rb"/URI \(textedit://(.*):(\d+):(\d+):\d+\)")


@dataclass(frozen=True, slots=True)
class Box:
    """A link's rectangle, in points from the top left of its page (0-based), and the source place that it leads to.

    ``line`` is 1-based, ``char`` 0-based in characters, a tab being one.
    """

    page: int
    x: float
    y: float
    width: float
    height: float
    path: str
    line: int
    char: int


def page_count(pdf: bytes) -> int:
    """How many pages a PDF of the cairo backend has."""
    return sum(1 for _ in _pages(pdf))


def boxes(pdf: bytes) -> list[Box]:
    """The boxes of all links to source places in a PDF of the cairo backend, page by page."""
    objects = {int(match[1]): match[2] for match in _OBJECT.finditer(pdf)}
    found = []
    for number, page in enumerate(_pages(pdf)):
        media, listed = _MEDIA.search(page), _ANNOTATIONS.search(page)
        if media and listed:
            top = float(media[1].split()[3])
            for reference in re.findall(rb"(\d+) 0 R", listed[1]):
                box = _box(number, top, objects.get(int(reference), b""))
                if box is not None:
                    found.append(box)
    return found


def _pages(pdf: bytes) -> Iterator[bytes]:
    return (match[2] for match in _OBJECT.finditer(pdf) if _PAGE.search(match[2]))


def _box(page: int, top: float, annotation: bytes) -> Box | None:
    quad, source = _QUAD.search(annotation), _SOURCE.search(annotation)
    if quad is None or source is None:
        return None
    numbers = [float(item) for item in quad[1].split()]
    left, right = min(numbers[::2]), max(numbers[::2])
    low, high = min(numbers[1::2]), max(numbers[1::2])
    path = unquote(re.sub(rb"\\([()\\])", rb"\1", source[1]).decode("utf-8", "surrogateescape"))
    return Box(page, left, top - high, right - left, high - low, path, int(source[2]), int(source[3]))
