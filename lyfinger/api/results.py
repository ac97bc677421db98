"""What the calls return: frozen values, places told as 1-based lines and (tab-expanded) columns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from ..source.messages import Message, Refused, Severity

__all__ = [
    "Cost",
    "Figure",
    "Finding",
    "Marked",
    "MarkedFile",
    "Music",
    "Other",
    "PrintedNote",
    "Refused",
    "Severity",
    "Text",
]


@dataclass(frozen=True, slots=True)
class Text:
    """A source that stands in no file. ``name`` is what messages call it, and where its includes count from."""

    data: bytes
    name: str = "-"


@dataclass(frozen=True, slots=True)
class Finding:
    """Something to be said about a place; ``str()`` is the line that the command line prints."""

    severity: Severity
    file: str
    line: int
    column: int
    text: str
    rule: str
    bar: int | None
    said: str

    @classmethod
    def of(cls, message: Message) -> Finding:
        """A message as a value that holds on to no source."""
        line, column = message.place.line_column
        file = message.place.file.name
        return cls(message.severity, file, line, column, message.text, message.rule, message.bar, str(message))

    def __str__(self) -> str:
        return self.said


@dataclass(frozen=True, slots=True)
class PrintedNote:
    """A note as it is printed, with what was decided for it.

    ``moment`` and ``duration`` are fractions of a whole note, ``alter`` semitones, ``octave`` is 4 from middle C;
    ``score`` counts from 1; ``hand`` is ``"right"``, ``"left"`` or None where it is no harpist's; ``finger`` is 1 to 4
    or None; ``locked`` tells a digit of the source from a suggested one; ``placing`` is a number that the notes of one
    placing share.
    """

    file: str
    line: int
    column: int
    score: int
    bar: int | None
    moment: Fraction
    grace: Fraction
    duration: Fraction
    staff: str
    voice: str
    step: str
    alter: Fraction
    octave: int
    hand: str | None
    tied: bool
    finger: int | None
    locked: bool
    placing: int | None


@dataclass(frozen=True, slots=True)
class Music:
    """What was read: the printed notes of every score, in order, and what could not be followed."""

    notes: tuple[PrintedNote, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class MarkedFile:
    """A file that was read, and the bytes that are to stand in it: ``digits`` were put in.

    ``path`` is None for a Text.
    """

    name: str
    path: Path | None
    before: bytes
    data: bytes
    digits: int


@dataclass(frozen=True, slots=True)
class Marked:
    """All files of a marking, included ones too, the sources first and in their order."""

    files: tuple[MarkedFile, ...]
    findings: tuple[Finding, ...]

    @property
    def data(self) -> bytes:
        """The new bytes of the first source."""
        return self.files[0].data


@dataclass(frozen=True, slots=True)
class Cost:
    """What a rule counts against a figure: thousandths, in a placing (from 1 on), and the reason in words."""

    rule: str
    units: int
    cost: int
    placing: int
    text: str


@dataclass(frozen=True, slots=True)
class Other:
    """Another fingering of a figure: what its phrase would cost more (thousandths), whether that order is proven, its
    digits (parallel to those of the figure), and the difference rule by rule."""

    more: int
    proven: bool
    digits: tuple[int | None, ...]
    difference: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Figure:
    """Some placings of one hand and what counts against them.

    ``notes`` are the pitches (``"F♯4"``) with line and column, ``digits`` and ``placings`` run parallel to them;
    ``bars`` are printed numbers. ``others`` is None where there is too much music at once to look for them.
    ``limits`` say where the hand is near its limit; then ``caution`` is to be shown with it.
    """

    hand: str
    bars: tuple[int | None, int | None]
    notes: tuple[tuple[str, int, int], ...]
    digits: tuple[int | None, ...]
    placings: tuple[int, ...]
    costs: tuple[Cost, ...]
    others: tuple[Other, ...] | None
    limits: tuple[str, ...]
    caution: str | None
