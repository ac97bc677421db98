"""The configuration, ``lyfinger.toml``: found beside the score or above it, checked, and frozen.

::

    hand = "medium"              # small, medium or large
    level = "standard"           # learner, standard or advanced
    include = ["notes"]          # directories for \\include, as -I; relative to this file

    [hands]                      # context, voice or variable name = which hand
    upper = "right"
    ossiaNotes = "left"
    staves = ["Harp"]            # the staves that are the harp's, where a score has them; * stands for other letters

    [tempo]
    default = 72                 # quarters a minute, where the score gives no tempo

    [harp]
    profile = "pedal"            # or small-pedal, lever-34 ...
    tuning = "Eb"                # the major key that a lever harp is tuned in, all levers down
    lowest = "C1"                # the player's own strings, where they differ from the profile's
    highest = "G7"
    fixed = ["C1", "D1"]         # strings without pedal or lever mechanism

    [harp.spacing]               # mm from a string to the next higher one; straight between
    C2 = 16.3
    C4 = 15.2

    [pedals]
    diagrams = ["harpSetting"]   # the score's own markup commands that show a setting, as \\harp-pedal does
    changes = ["pedalMove"]      # the score's own markup commands that show a change: letters with signs
    neighbours = true            # this player moves two neighbouring pedals with one foot

    [hand]                       # in place of hand = "medium": the player's own, in mm
    thumb_to_ring = 158          # how far thumb and ring finger reach; all other pairs in proportion

    [hand.reach]                 # how far two fingers reach, where they differ from that
    1-2 = 120

    [rules]                      # a rule of the search = its weight, in thousandths for each that it counts
    hop = 40
    slide = false                # off

    [check]                      # rules of check by name
    select = ["reach"]           # these alone
    ignore = ["wide-placings"]   # not these

    [print]                      # what of the digits is printed
    density = "all"              # all, placings or needed
    chords = "stacked"           # or left: the digits of a chord left of its heads
    brackets = true              # over or under each placing
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from .source.messages import Refused
from .source.text import Place, SourceFile

FILE_NAME = "lyfinger.toml"
HAND_SIZES = ("small", "medium", "large")
LEVELS = ("learner", "standard", "advanced")
HANDS = ("right", "left")
DENSITIES = ("all", "placings", "needed")
CHORDS = ("stacked", "left")
TEMPO_RANGE = (1, 1000)
SPAN_RANGE = (80, 260)
PAIR_RANGE = (20, 260)
SPACING_RANGE = (10, 25)
HIGHEST_WEIGHT = 1_000_000


@dataclass(frozen=True, slots=True)
class Config:
    """The settings of a run; the defaults are those of a score without a ``lyfinger.toml``.

    ``file`` is the configuration file, ``folder`` (absolute) where it stands; both None without one. ``tempo`` is
    in quarters a minute, None where it is left to the tool. ``places`` leads from a dotted key, e.g.
    ``harp.profile``, to its line, for messages about its value. ``rules`` are weights by name of rule (0: off);
    whether such a rule exists is not asked here, nor of ``select`` (None: all) and ``ignore``, rules of the check.

    ``staves`` are the user's names for the harp's staves, none where these are to be found.

    ``hand_span`` is how far thumb and ring finger reach, ``hand_reach`` the same for pairs such as ``"1-2"``,
    ``spacing`` the distance from a string (``"C4"``) to the next one, all in µm; ``lowest`` and ``highest`` are names
    of strings, as are those of ``fixed`` (None: the profile's). ``pedal_diagrams`` and ``pedal_changes`` name markup
    commands; ``tuning`` is the major key that a lever harp is tuned in. What is not given is that of ``hand`` and
    ``harp``, which are names of sizes and profiles. ``density``, ``chords`` and
    ``brackets`` say how the planned digits are printed.
    """

    file: SourceFile | None = None
    folder: Path | None = None
    hand: str = "medium"
    level: str = "standard"
    include: tuple[Path, ...] = ()
    hands: Mapping[str, str] = field(default_factory=dict)
    staves: tuple[str, ...] = ()
    tempo: Fraction | None = None
    harp: str = "pedal"
    hand_span: int | None = None
    hand_reach: Mapping[str, int] = field(default_factory=dict)
    lowest: str | None = None
    highest: str | None = None
    fixed: tuple[str, ...] | None = None
    spacing: Mapping[str, int] = field(default_factory=dict)
    rules: Mapping[str, int] = field(default_factory=dict)
    select: tuple[str, ...] | None = None
    ignore: tuple[str, ...] = ()
    pedal_diagrams: tuple[str, ...] = ()
    pedal_changes: tuple[str, ...] = ()
    pedal_neighbours: bool = False
    tuning: str | None = None
    density: str = "all"
    chords: str = "stacked"
    brackets: bool = False
    places: Mapping[str, Place] = field(default_factory=dict)

    def for_hand(self, size: str) -> Config:
        """These settings for a hand of another size, whatever was measured."""
        return replace(self, hand=size, hand_span=None, hand_reach={})


def find_config(folder: Path) -> Path | None:
    """The ``lyfinger.toml`` in a folder (absolute) or the nearest one above it."""
    for candidate in (folder, *folder.parents):
        if (candidate / FILE_NAME).is_file():
            return candidate / FILE_NAME
    return None


def settings_at(path: Path | None) -> Config:
    """The settings of a file, which messages name as seen from the working directory; without one, the defaults.

    Raises Refused as :func:`load_config` does.
    """
    return load_config(path, os.path.relpath(path)) if path else Config()


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
    home: Place | None = None

    def part(self, key: str) -> _Table:
        """A section below this one, empty if it is not there. Raises Refused if it is none."""
        content = self.take(key, dict, "a section")
        return self.inner(key, {} if content is None else content)

    def inner(self, key: str, content: dict[str, Any]) -> _Table:
        """What a key that was taken holds, as a table."""
        name = self._dotted(key)
        return _Table(self.file, name, content, self.folder, self.places, self.places.get(name))

    def millimetres(self, key: str, limits: tuple[int, int]) -> int | None:
        """A length, in µm. Raises Refused if it is not within the limits (mm)."""
        wanted = f"a number of mm, {limits[0]} to {limits[1]}"
        value = self.take(key, (int, float), wanted)
        if value is None:
            return None
        if not limits[0] <= value <= limits[1]:
            raise self.wrong(key, wanted)
        return round(float(value) * 1000)

    def take(self, key: str, kind: type | tuple[type, ...], wanted: str) -> Any:
        """The value of a key, None if it is not there. Raises Refused if it is of another kind."""
        if key not in self.values:
            return None
        value = self.values.pop(key)
        self.places[self._dotted(key)] = self._place(key)
        if not isinstance(value, kind) or isinstance(value, bool):
            raise self.wrong(key, wanted)
        return value

    def flag(self, key: str) -> bool:
        """The value of a key that is there. Raises Refused if it is not true or false."""
        value = self.values.pop(key)
        self.places[self._dotted(key)] = self._place(key)
        if not isinstance(value, bool):
            raise self.wrong(key, "true or false")
        return value

    def names(self, key: str, wanted: str) -> tuple[str, ...] | None:
        """A list of strings, None if it is not there. Raises Refused if it is something else."""
        listed = self.take(key, list, wanted)
        if listed is not None and not all(isinstance(item, str) for item in listed):
            raise self.wrong(key, wanted)
        return None if listed is None else tuple(listed)

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
            return self.home or Place(self.file, section.start() if section else 0)
        return Place(self.file, match.start() + len(match[0]) - len(match[0].lstrip()))


def _top(table: _Table) -> dict[str, Any]:
    values: dict[str, Any] = {}
    hand = table.take("hand", (str, dict), "a string or a section")
    if isinstance(hand, str):
        values["hand"] = _size(table, "hand", hand)
    elif hand is not None:
        values |= _hand(table.inner("hand", hand))
    level = table.take("level", str, "a string")
    if level is not None:
        if level not in LEVELS:
            raise table.wrong("level", '"learner", "standard" or "advanced"')
        values["level"] = level
    include = table.take("include", list, "a list of directories")
    if include is not None:
        if not all(isinstance(item, str) for item in include):
            raise table.wrong("include", "a list of directories")
        values["include"] = tuple(table.folder / item for item in include)
    return values


def _size(table: _Table, key: str, size: str) -> str:
    if size not in HAND_SIZES:
        raise table.wrong(key, '"small", "medium" or "large"')
    return size


def _hand(table: _Table) -> dict[str, Any]:
    size = table.take("size", str, "a string")
    span = table.millimetres("thumb_to_ring", SPAN_RANGE)
    pairs = table.part("reach")
    reach = {pair: pairs.millimetres(pair, PAIR_RANGE) for pair in _PAIRS}
    given = {pair: width for pair, width in reach.items() if width is not None}
    pairs.refuse_rest()
    for key, value in table.values.items():
        if value in ("right", "left"):
            raise Refused(f"unknown key hand.{key} (which hand plays a staff stands in [hands])", table._place(key))
    table.refuse_rest()
    if size is not None and span is not None:
        raise table.wrong("size", "left out where hand.thumb_to_ring is given")
    if "1-4" in given and span is not None:
        raise pairs.wrong("1-4", "left out where hand.thumb_to_ring is given")
    _refuse_unless_wider(pairs, given)
    if size is None and span is None:
        span = given.pop("1-4", None)
    values: dict[str, Any] = {"hand_span": span, "hand_reach": given}
    return values if size is None else values | {"hand": _size(table, "size", size)}


_PAIRS = ("1-2", "1-3", "1-4", "2-3", "2-4", "3-4")
_WIDER = (("1-2", "1-3"), ("1-2", "1-4"), ("1-3", "1-4"), ("2-3", "2-4"), ("3-4", "2-4"))


def _refuse_unless_wider(table: _Table, reach: Mapping[str, int]) -> None:
    """Raise Refused where two fingers reach further than two that have them between or beside them."""
    for inner, outer in _WIDER:
        if inner in reach and outer in reach and reach[inner] > reach[outer]:
            raise table.wrong(outer, f"at least hand.reach.{inner}")


def _hands(table: _Table) -> dict[str, Any]:
    wanted = '"right" or "left"'
    staves: tuple[str, ...] = ()
    if isinstance(table.values.get("staves"), list):
        listed = table.take("staves", list, "a list of names")
        if not all(isinstance(item, str) and item for item in listed):
            raise table.wrong("staves", "a list of names")
        staves = tuple(listed)
    hands = {name: table.take(name, str, wanted) for name in list(table.values)}
    for name, hand in hands.items():
        if hand not in HANDS:
            raise table.wrong(name, wanted)
    return {"hands": hands, "staves": staves}


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
    values: dict[str, Any] = {} if profile is None else {"harp": profile}
    for key in ("lowest", "highest"):
        string = table.take(key, str, _A_STRING)
        if string is not None and not _STRING.fullmatch(string):
            raise table.wrong(key, _A_STRING)
        values[key] = string
    fixed = table.names("fixed", 'a list of strings, as ["C1"]')
    if fixed is not None and not all(_STRING.fullmatch(name) for name in fixed):
        raise table.wrong("fixed", 'a list of strings, as ["C1"]')
    values["fixed"] = fixed
    tuning = table.take("tuning", str, _A_KEY)
    if tuning is not None and not _KEY.fullmatch(tuning):
        raise table.wrong("tuning", _A_KEY)
    values["tuning"] = tuning
    part = table.part("spacing")
    names = list(part.values)
    widths = {name: part.millimetres(name, SPACING_RANGE) for name in names if _STRING.fullmatch(name)}
    part.refuse_rest()
    return values | {"spacing": widths}


_STRING = re.compile("[A-G][0-8]")
_KEY = re.compile("[A-G][b♭#♯]?")
_A_KEY = 'the major key that a lever harp is tuned in, as "Eb"'
_A_STRING = 'the name of a string, as "C4" for middle C'


def _pedals(table: _Table) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for key in ("diagrams", "changes"):
        names = table.take(key, list, _MARKUP_COMMANDS)
        if names is not None:
            if not all(isinstance(name, str) and re.fullmatch(r"\\?[A-Za-z]+(?:-[A-Za-z]+)*", name) for name in names):
                raise table.wrong(key, _MARKUP_COMMANDS)
            values[f"pedal_{key}"] = tuple(name.lstrip("\\") for name in names)
    if "neighbours" in table.values:
        value = table.values.pop("neighbours")
        if not isinstance(value, bool):
            raise table.wrong("neighbours", "true or false")
        values["pedal_neighbours"] = value
    return values


_MARKUP_COMMANDS = "a list of markup commands"


def _rules(table: _Table) -> dict[str, Any]:
    wanted = f"a whole number from 0 (off) to {HIGHEST_WEIGHT}, or false (off)"
    weights: dict[str, int] = {}
    for name, value in list(table.values.items()):
        if value is False:
            table.values[name] = 0
        weights[name] = table.take(name, int, wanted)
        if not 0 <= weights[name] <= HIGHEST_WEIGHT:
            raise table.wrong(name, wanted)
    return {"rules": weights}


def _check(table: _Table) -> dict[str, Any]:
    wanted = "a list of rule names"
    return {"select": table.names("select", wanted), "ignore": table.names("ignore", wanted) or ()}


def _print(table: _Table) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for key, known, wanted in (
        ("density", DENSITIES, '"all", "placings" or "needed"'),
        ("chords", CHORDS, '"stacked" or "left"'),
    ):
        value = table.take(key, str, wanted)
        if value is not None:
            if value not in known:
                raise table.wrong(key, wanted)
            values[key] = value
    if "brackets" in table.values:
        values["brackets"] = table.flag("brackets")
    return values


_SECTIONS: dict[str, Callable[[_Table], dict[str, Any]]] = {
    "hands": _hands,
    "tempo": _tempo,
    "harp": _harp,
    "pedals": _pedals,
    "rules": _rules,
    "check": _check,
    "print": _print,
}
