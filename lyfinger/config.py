"""The configuration, ``lyfinger.toml``: found beside the score or above it, checked, and frozen.

::

    hand = "medium"              # small, medium or large
    include = ["notes"]          # directories for \\include, as -I; relative to this file

    [hands]                      # context, voice or variable name = which hand
    upper = "right"
    ossiaNotes = "left"

    [tempo]
    default = 72                 # quarters a minute, where the score gives no tempo

    [harp]
    profile = "pedal"
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

from .source.messages import Refused
from .source.text import Place, SourceFile

FILE_NAME = "lyfinger.toml"
HAND_SIZES = ("small", "medium", "large")
HANDS = ("right", "left")
TEMPO_RANGE = (1, 1000)


@dataclass(frozen=True, slots=True)
class Config:
    """The settings of a run; the defaults are those of a score without a ``lyfinger.toml``.

    ``file`` is the configuration file, ``folder`` (absolute) where it stands; both None without one. ``tempo`` is
    in quarters a minute, None where it is left to the tool. ``places`` leads from a dotted key, e.g.
    ``harp.profile``, to its line, for messages about its value.
    """

    file: SourceFile | None = None
    folder: Path | None = None
    hand: str = "medium"
    include: tuple[Path, ...] = ()
    hands: Mapping[str, str] = field(default_factory=dict)
    tempo: Fraction | None = None
    harp: str = "pedal"
    places: Mapping[str, Place] = field(default_factory=dict)


def find_config(folder: Path) -> Path | None:
    """The ``lyfinger.toml`` in a folder (absolute) or the nearest one above it."""
    for candidate in (folder, *folder.parents):
        if (candidate / FILE_NAME).is_file():
            return candidate / FILE_NAME
    return None


def load_config(path: Path, name: str | None = None) -> Config:
    """Read and check a configuration file; ``name`` is how messages call it.

    Raises Refused, with the line, for what can't be read, an unknown key, or a value that makes no sense.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise Refused(f"can't read {name or path}: {error.strerror or error}") from error
    file = SourceFile(name or str(path), data, path)
    folder = path.absolute().parent
    table = _Table(file, "", _parse(file), folder)
    values = _top(table)
    for section, parse in _SECTIONS.items():
        content = table.take(section, dict, "a section")
        if content is not None:
            part = _Table(file, section, content, folder)
            values |= parse(part)
            part.refuse_rest()
            table.places.update(part.places)
    table.refuse_rest()
    return Config(file=file, folder=folder, places=table.places, **values)


def _parse(file: SourceFile) -> dict[str, Any]:
    import tomllib

    try:
        return tomllib.loads(file.data.decode("utf-8"))
    except UnicodeDecodeError as error:
        offset = len(file.data[: error.start].decode("utf-8", "surrogateescape"))
        raise Refused("this is not UTF-8", Place(file, offset)) from error
    except tomllib.TOMLDecodeError as error:
        text, _, where = str(error).partition(" (at ")
        numbers = [int(item) for item in re.findall(r"\d+", where)]
        found = file.offset_of(*numbers) if len(numbers) == 2 else None
        raise Refused(text[:1].lower() + text[1:], Place(file, len(file.text) if found is None else found)) from error


@dataclass(slots=True)
class _Table:
    """One table of the file, with its keys crossed off as they are taken."""

    file: SourceFile
    section: str
    values: dict[str, Any]
    folder: Path
    places: dict[str, Place] = field(default_factory=dict)

    def take(self, key: str, kind: type | tuple[type, ...], wanted: str) -> Any:
        """The value of a key, None if it is not there. Raises Refused if it is of another kind."""
        if key not in self.values:
            return None
        value = self.values.pop(key)
        self.places[self._dotted(key)] = self._place(key)
        if not isinstance(value, kind) or isinstance(value, bool):
            raise self.wrong(key, wanted)
        return value

    def wrong(self, key: str, wanted: str) -> Refused:
        """The refusal of a value, to be raised."""
        return Refused(f"{self._dotted(key)} must be {wanted}", self._place(key))

    def refuse_rest(self) -> None:
        """Raise Refused if a key was not taken."""
        for key in self.values:
            raise Refused(f"unknown key {self._dotted(key)}", self._place(key))

    def _dotted(self, key: str) -> str:
        return f"{self.section}.{key}" if self.section else key

    def _place(self, key: str) -> Place:
        text = self.file.text
        header = rf"^[ \t]*\[[ \t]*{re.escape(self.section)}[ \t]*\]"
        section = re.search(header, text, re.MULTILINE) if self.section else None
        start = section.end() if section else 0
        names = rf"""^[ \t]*\[*[ \t]*["']?{re.escape(key)}["']?[ \t]*[=.\]]"""
        match = re.compile(names, re.MULTILINE).search(text, start)
        if match is None:
            return Place(self.file, section.start() if section else 0)
        return Place(self.file, match.start() + len(match[0]) - len(match[0].lstrip()))


def _top(table: _Table) -> dict[str, Any]:
    values: dict[str, Any] = {}
    hand = table.take("hand", str, "a string")
    if hand is not None:
        if hand not in HAND_SIZES:
            raise table.wrong("hand", '"small", "medium" or "large"')
        values["hand"] = hand
    include = table.take("include", list, "a list of directories")
    if include is not None:
        if not all(isinstance(item, str) for item in include):
            raise table.wrong("include", "a list of directories")
        values["include"] = tuple(table.folder / item for item in include)
    return values


def _hands(table: _Table) -> dict[str, Any]:
    wanted = '"right" or "left"'
    hands = {name: table.take(name, str, wanted) for name in list(table.values)}
    for name, hand in hands.items():
        if hand not in HANDS:
            raise table.wrong(name, wanted)
    return {"hands": hands}


def _tempo(table: _Table) -> dict[str, Any]:
    low, high = TEMPO_RANGE
    wanted = f"a number of quarters a minute, {low} to {high}"
    value = table.take("default", (int, float), wanted)
    if value is None:
        return {}
    if not low <= value <= high:
        raise table.wrong("default", wanted)
    return {"tempo": Fraction(str(value))}


def _harp(table: _Table) -> dict[str, Any]:
    profile = table.take("profile", str, "a string")
    return {} if profile is None else {"harp": profile}


_SECTIONS: dict[str, Callable[[_Table], dict[str, Any]]] = {"hands": _hands, "tempo": _tempo, "harp": _harp}
