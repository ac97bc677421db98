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
    chords = "stacked"           # or behind: in the source behind the chord; left: left of its heads
    outside = true               # digits outside slurs
    brackets = true              # over or under each placing
    slides = true                # a line where a finger slides
    crossings = true             # an arc at the finger that crosses
    hands = true                 # L.H. and R.H. where a hand leaves its staff
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from .choices import CHORDS, DENSITIES, FILE_NAME, HAND_SIZES, LEVELS
from .source.library import read_within
from .source.paths import from_here, named_in_text
from .source.text import Place, SourceFile
from .source.toml import Table, top_table

HANDS = ("right", "left")
TEMPO_RANGE = (1, 1000)
SPAN_RANGE = (80, 260)
PAIR_RANGE = (20, 260)
SPACING_RANGE = (10, 25)
HIGHEST_WEIGHT = 1_000_000
LARGEST = 2**20
"""Bytes of settings that are read; more are refused."""


class Config(NamedTuple):
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
    ``harp``, which are names of sizes and profiles. ``density``, ``chords``,
    ``outside``, ``brackets``, ``slides``, ``crossings`` and ``hand_signs`` say how the planned digits are printed.
    """

    file: SourceFile | None = None
    folder: Path | None = None
    hand: str = "medium"
    level: str = "standard"
    include: tuple[Path, ...] = ()
    hands: Mapping[str, str] = MappingProxyType({})
    staves: tuple[str, ...] = ()
    tempo: Fraction | None = None
    harp: str = "pedal"
    hand_span: int | None = None
    hand_reach: Mapping[str, int] = MappingProxyType({})
    lowest: str | None = None
    highest: str | None = None
    fixed: tuple[str, ...] | None = None
    spacing: Mapping[str, int] = MappingProxyType({})
    rules: Mapping[str, int] = MappingProxyType({})
    select: tuple[str, ...] | None = None
    ignore: tuple[str, ...] = ()
    pedal_diagrams: tuple[str, ...] = ()
    pedal_changes: tuple[str, ...] = ()
    pedal_neighbours: bool = False
    tuning: str | None = None
    density: str = "all"
    chords: str = "stacked"
    outside: bool = False
    brackets: bool = False
    slides: bool = False
    crossings: bool = False
    hand_signs: bool = False
    places: Mapping[str, Place] = MappingProxyType({})

    def for_hand(self, size: str) -> Config:
        """These settings for a hand of another size, whatever was measured."""
        return self._replace(hand=size, hand_span=None, hand_reach={})


def find_config(folder: Path) -> Path | None:
    """The ``lyfinger.toml`` in a folder (absolute) or the nearest one above it."""
    for candidate in (folder, *folder.parents):
        if (candidate / FILE_NAME).is_file():
            return candidate / FILE_NAME
    return None


def config_beside(name: str) -> Path | None:
    """The ``lyfinger.toml`` of a source, which is called ``name`` from the working directory."""
    return find_config(Path(os.path.normpath(Path(os.path.dirname(name)).absolute())))


def settings_at(path: Path | None) -> Config:
    """The settings of a file, which messages name as seen from the working directory; without one, the defaults.

    Raises Refused as :func:`load_config` does.
    """
    return load_config(path, from_here(path)) if path else Config()


def load_config(path: Path, name: str | None = None) -> Config:
    """Read and check a configuration file; ``name`` is how messages call it.

    Raises Refused, with the line, for what can't be read, an unknown key, or a value that makes no sense.
    """
    name = name or str(path)
    file = SourceFile(name, read_within(path, LARGEST, name), path)
    folder = path.absolute().parent
    table = top_table(file)
    values = _top(table, folder)
    for section, parse in _SECTIONS.items():
        part = table.part(section)
        values |= parse(part)
        part.refuse_rest()
    table.refuse_rest()
    return Config(file=file, folder=folder, places=table.places, **values)


def _given(**values: Any) -> dict[str, Any]:
    """The settings that are there."""
    return {name: value for name, value in values.items() if value is not None}


def _top(table: Table, folder: Path) -> dict[str, Any]:
    include = table.names("include", "a list of directories")
    return {
        **_hand_or_size(table),
        **_given(
            level=table.choice("level", LEVELS),
            include=None if include is None else tuple(folder / named_in_text(item) for item in include),
        ),
    }


def _hand_or_size(table: Table) -> dict[str, Any]:
    if isinstance(table.values.get("hand"), str):
        return {"hand": table.choice("hand", HAND_SIZES)}
    hand = table.take("hand", dict, "a string or a section")
    return {} if hand is None else _hand(table.inner("hand", hand))


def _hand(table: Table) -> dict[str, Any]:
    size = table.choice("size", HAND_SIZES)
    span = _micrometres(table, "thumb_to_ring", SPAN_RANGE)
    pairs = table.part("reach")
    reach = _given(**{pair: _micrometres(pairs, pair, PAIR_RANGE) for pair in _PAIRS})
    pairs.refuse_rest()
    for key, value in table.values.items():
        if value in HANDS:
            raise table.unknown(key, " (which hand plays a staff stands in [hands])")
    table.refuse_rest()
    if size is not None and span is not None:
        raise table.wrong("size", "left out where hand.thumb_to_ring is given")
    if "1-4" in reach and span is not None:
        raise pairs.wrong("1-4", "left out where hand.thumb_to_ring is given")
    _refuse_unless_wider(pairs, reach)
    if size is None and span is None:
        span = reach.pop("1-4", None)
    return {"hand_span": span, "hand_reach": reach, **_given(hand=size)}


def _micrometres(table: Table, key: str, limits: tuple[int, int]) -> int | None:
    """A length that is written in mm, in µm. Raises Refused if it is not within the limits (mm)."""
    value = table.number(key, limits, "mm")
    return None if value is None else round(float(value) * 1000)


_PAIRS = ("1-2", "1-3", "1-4", "2-3", "2-4", "3-4")
_WIDER = (("1-2", "1-3"), ("1-2", "1-4"), ("1-3", "1-4"), ("2-3", "2-4"), ("3-4", "2-4"))


def _refuse_unless_wider(table: Table, reach: Mapping[str, int]) -> None:
    """Raise Refused where two fingers reach further than two that have them between or beside them."""
    for inner, outer in _WIDER:
        if inner in reach and outer in reach and reach[inner] > reach[outer]:
            raise table.wrong(outer, f"at least hand.reach.{inner}")


def _hands(table: Table) -> dict[str, Any]:
    # A staff may be called "staves" too: then its value is a hand.
    listed = isinstance(table.values.get("staves"), list)
    staves = table.names("staves", "a list of names", "(?s:.+)") if listed else None
    return {"hands": {name: table.choice(name, HANDS) for name in list(table.values)}, **_given(staves=staves)}


def _tempo(table: Table) -> dict[str, Any]:
    value = table.number("default", TEMPO_RANGE, "quarters a minute")
    return {} if value is None else {"tempo": Fraction(str(value))}


def _harp(table: Table) -> dict[str, Any]:
    values = _given(
        harp=table.take("profile", str, "a string"),
        lowest=_matching(table, "lowest", _STRING, 'the name of a string, as "C4" for middle C'),
        highest=_matching(table, "highest", _STRING, 'the name of a string, as "C4" for middle C'),
        fixed=table.names("fixed", 'a list of strings, as ["C1"]', _STRING),
        tuning=_matching(table, "tuning", _KEY, 'the major key that a lever harp is tuned in, as "Eb"'),
    )
    part = table.part("spacing")
    strings = [name for name in part.values if re.fullmatch(_STRING, name)]
    widths = {name: _micrometres(part, name, SPACING_RANGE) for name in strings}
    part.refuse_rest()
    return {**values, "spacing": widths}


_STRING = "[A-G][0-8]"
_KEY = "[A-G][b♭#♯]?"


def _matching(table: Table, key: str, pattern: str, wanted: str) -> str | None:
    value: str | None = table.take(key, str, wanted)
    if value is not None and not re.fullmatch(pattern, value):
        raise table.wrong(key, wanted)
    return value


def _pedals(table: Table) -> dict[str, Any]:
    return _given(
        pedal_diagrams=_markup_commands(table, "diagrams"),
        pedal_changes=_markup_commands(table, "changes"),
        pedal_neighbours=table.take("neighbours", bool, "true or false"),
    )


def _markup_commands(table: Table, key: str) -> tuple[str, ...] | None:
    names = table.names(key, "a list of markup commands", r"\\?[A-Za-z]+(?:-[A-Za-z]+)*")
    return None if names is None else tuple(name.lstrip("\\") for name in names)


def _rules(table: Table) -> dict[str, Any]:
    wanted = f"a whole number from 0 (off) to {HIGHEST_WEIGHT}, or false (off)"
    weights: dict[str, int] = {}
    for name, value in list(table.values.items()):
        if value is False:
            table.values[name] = 0
        weights[name] = table.take(name, int, wanted)
        if not 0 <= weights[name] <= HIGHEST_WEIGHT:
            raise table.wrong(name, wanted)
    return {"rules": weights}


def _check(table: Table) -> dict[str, Any]:
    wanted = "a list of rule names"
    return _given(select=table.names("select", wanted), ignore=table.names("ignore", wanted))


def _print(table: Table) -> dict[str, Any]:
    return _given(
        density=table.choice("density", DENSITIES),
        chords=table.choice("chords", CHORDS),
        outside=table.take("outside", bool, "true or false"),
        brackets=table.take("brackets", bool, "true or false"),
        slides=table.take("slides", bool, "true or false"),
        crossings=table.take("crossings", bool, "true or false"),
        hand_signs=table.take("hands", bool, "true or false"),
    )


_SECTIONS: dict[str, Callable[[Table], dict[str, Any]]] = {
    "hands": _hands,
    "tempo": _tempo,
    "harp": _harp,
    "pedals": _pedals,
    "rules": _rules,
    "check": _check,
    "print": _print,
}
