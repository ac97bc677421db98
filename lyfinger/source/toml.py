"""A TOML file as tables whose keys are taken one by one, so that every refusal names its line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from .messages import Refused
from .text import Place, SourceFile


def top_table(file: SourceFile) -> Table:
    """The keys of a whole file. Raises Refused, with the place, for what is no TOML."""
    import tomllib

    try:
        return Table(file, "", tomllib.loads(file.data.decode("utf-8")))
    except UnicodeDecodeError as error:
        offset = len(file.data[: error.start].decode("utf-8", "surrogateescape"))
        raise Refused("this is not UTF-8", Place(file, offset)) from error
    except tomllib.TOMLDecodeError as error:
        text, _, where = str(error).partition(" (at ")
        numbers = [int(item) for item in re.findall(r"\d+", where)]
        found = file.offset_of(*numbers) if len(numbers) == 2 else None
        raise Refused(text[:1].lower() + text[1:], Place(file, len(file.text) if found is None else found)) from error
    except (ValueError, RecursionError) as error:
        what = "brackets within brackets" if isinstance(error, RecursionError) else "a number of digits"
        raise Refused(f"{what} without end", Place(file, 0)) from error


class Table:
    """One table of the file, with its keys crossed off as they are taken.

    ``section`` is its dotted name, empty for the whole file; ``places`` lead from the dotted name of each key that was
    taken to its line, and are shared by all tables of a file; ``home`` is where the table itself was found.
    """

    def __init__(
        self,
        file: SourceFile,
        section: str,
        values: dict[str, Any],
        places: dict[str, Place] | None = None,
        home: Place | None = None,
    ) -> None:
        self.file = file
        self.section = section
        self.values = values
        self.places: dict[str, Place] = {} if places is None else places
        self.home = home

    def part(self, key: str) -> Table:
        """A section below this one, empty if it is not there. Raises Refused if it is none."""
        content = self.take(key, dict, "a section")
        return self.inner(key, {} if content is None else content)

    def inner(self, key: str, content: dict[str, Any]) -> Table:
        """What a key that was taken holds, as a table."""
        name = self._dotted(key)
        return Table(self.file, name, content, self.places, self.places.get(name))

    def take(self, key: str, kind: type | tuple[type, ...], wanted: str) -> Any:
        """The value of a key, None if it is not there. Raises Refused if it is of another kind."""
        if key not in self.values:
            return None
        value = self.values.pop(key)
        self.places[self._dotted(key)] = self._place(key)
        if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
            raise self.wrong(key, wanted)
        return value

    def number(self, key: str, limits: tuple[int, int], unit: str) -> int | float | None:
        """A number, None if it is not there. Raises Refused if it is not within the limits."""
        wanted = f"a number of {unit}, {limits[0]} to {limits[1]}"
        value: int | float | None = self.take(key, (int, float), wanted)
        if value is not None and not limits[0] <= value <= limits[1]:
            raise self.wrong(key, wanted)
        return value

    def choice(self, key: str, known: Sequence[str]) -> str | None:
        """One of some words, None if it is not there. Raises Refused if it is another."""
        *first, last = (f'"{word}"' for word in known)
        wanted = f"{', '.join(first)} or {last}"
        value: str | None = self.take(key, str, wanted)
        if value is not None and value not in known:
            raise self.wrong(key, wanted)
        return value

    def names(self, key: str, wanted: str, pattern: str = "(?s:.*)") -> tuple[str, ...] | None:
        """A list of strings that match a pattern, None if it is not there. Raises Refused if it is something else."""
        listed = self.take(key, list, wanted)
        if listed is None:
            return None
        if not all(isinstance(item, str) and re.fullmatch(pattern, item) for item in listed):
            raise self.wrong(key, wanted)
        return tuple(listed)

    def wrong(self, key: str, wanted: str) -> Refused:
        """The refusal of a value, to be raised."""
        return Refused(f"{self._dotted(key)} must be {wanted}", self._place(key))

    def unknown(self, key: str, why: str = "") -> Refused:
        """The refusal of a key, to be raised."""
        return Refused(f"unknown key {self._dotted(key)}{why}", self._place(key))

    def refuse_rest(self) -> None:
        """Raise Refused if a key was not taken."""
        for key in self.values:
            raise self.unknown(key)

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
            return self.home or Place(self.file, section.start() if section else 0)
        return Place(self.file, match.start() + len(match[0]) - len(match[0].lstrip()))
