"""Where things stand on the engraved pages: the boxes of the links back to the source.

The pictures of the typesetter have no links; the PDF beside them has, in the same points (measured with LilyPond
2.24.1, 2.24.3 and 2.25.12). A PDF counts from the bottom, a picture from the top.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import unquote_to_bytes

_SOURCE = re.compile(rb"textedit://(.*):(\d+):(\d+):\d+", re.DOTALL)


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


@dataclass(frozen=True, slots=True)
class LinkedPage:
    """A page's size in points, and the boxes on it."""

    width: float
    height: float
    boxes: tuple[Box, ...]


def linked_pages(pdf: Path, first: int) -> list[LinkedPage]:
    """The pages of a PDF with the boxes of all links to source places; ``first`` is the number of the first page."""
    from pypdf import PdfReader

    pages = []
    for number, page in enumerate(PdfReader(pdf).pages, first):
        width, height = float(page.mediabox.width), float(page.mediabox.height)
        notes = (reference.get_object() for reference in page.get("/Annots", ()))
        found = (_box(number, height, note) for note in notes)
        pages.append(LinkedPage(width, height, tuple(box for box in found if box is not None)))
    return pages


def _box(page: int, top: float, annotation: Any) -> Box | None:
    source = _SOURCE.fullmatch(_bytes(annotation.get("/A", {}).get("/URI", "")))
    numbers = [float(number) for number in annotation.get("/QuadPoints") or annotation.get("/Rect") or ()]
    if source is None or not numbers:
        return None
    left, right, low, high = _ends(numbers)
    path = unquote_to_bytes(source[1]).decode("utf-8", "surrogateescape")
    return Box(page, left, top - high, right - left, high - low, path, int(source[2]), int(source[3]))


def _bytes(text: Any) -> bytes:
    """A PDF's string as it stands there, whatever it was decoded to."""
    return bytes(getattr(text, "original_bytes", b"")) or str(text).encode("utf-8", "surrogateescape")


def _ends(numbers: list[float]) -> tuple[float, float, float, float]:
    return min(numbers[::2]), max(numbers[::2]), min(numbers[1::2]), max(numbers[1::2])
