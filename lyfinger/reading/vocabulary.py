"""What the typesetter's words mean: the data files in ``grammar/``, loaded when first needed.

``vocabulary.json`` and ``pitchnames.json`` are dumped from the typesetter itself; this module only looks
things up in them.
"""

from __future__ import annotations

import json
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any, Literal, NamedTuple

INSTALLED = Path(__file__).parent.parent / "grammar"
IN_TREE = Path(__file__).parent.parent.parent / "grammar"


def grammar_file(name: str) -> Path:
    """The path of a file of ``grammar/``, in an installed package or in the source tree."""
    inside = INSTALLED / name
    return inside if inside.exists() else IN_TREE / name


Result = Literal["music", "post", "void", "value"]
"""What a function makes: music, something attached to a note, nothing, or another value."""


class Signature(NamedTuple):
    """How a command takes its arguments.

    ``name`` is the command whose meaning it has; ``arguments`` are pairs of predicate name and whether it is
    optional; ``known`` is False for functions that a
    score defines in Scheme; ``given`` are arguments that a partial call has filled in already.
    """

    name: str
    arguments: tuple[tuple[str, bool], ...]
    result: Result
    known: bool = True
    given: tuple[Any, ...] = ()


RESULTS: dict[str, Result] = {
    "music-function": "music",
    "event-function": "post",
    "void-function": "void",
    "scheme-function": "value",
}


class Vocabulary:
    """The words of the typesetter. ``kind(name)`` is None for a word that it doesn't know."""

    def __init__(self, data: dict[str, Any]) -> None:
        self._identifiers: dict[str, dict[str, Any]] = data["identifiers"]
        self._renamed: dict[str, dict[str, str]] = data["renamed"]
        self._markup: dict[str, dict[str, Any]] = data["markup"]

    def today(self, name: str) -> str:
        """The present name of a command that was once called otherwise."""
        entry = self._renamed.get(name)
        return entry["now"] if entry else name

    def kind(self, name: str) -> str | None:
        """What an identifier is: ``music``, ``post-event``, ``music-function`` and so on; None if unknown."""
        entry = self._identifiers.get(name)
        return entry["kind"] if entry else None

    def signature(self, name: str) -> Signature:
        """The signature of a function. Raises :class:`KeyError` for what isn't one."""
        entry = self._identifiers[name]
        arguments = tuple((predicate, bool(optional)) for predicate, optional in entry["arguments"])
        return Signature(name, arguments, RESULTS[entry["kind"]])

    def markup_arguments(self, name: str) -> list[str] | None:
        """The predicates of a markup command's arguments; None where it is unknown."""
        entry = self._markup.get(name)
        return entry["arguments"] if entry else None


@cache
def vocabulary() -> Vocabulary:
    return Vocabulary(json.loads(grammar_file("vocabulary.json").read_bytes()))


PitchName = tuple[int, int, Fraction]
"""Octave that the name itself has, step 0–6 from c, alteration in semitones."""


@cache
def _pitch_data() -> dict[str, Any]:
    return json.loads(grammar_file("pitchnames.json").read_bytes())  # type: ignore[no-any-return]


@cache
def languages() -> frozenset[str]:
    return frozenset(_pitch_data()["languages"])


@cache
def pitch_names(language: str) -> dict[str, PitchName]:
    """The note names of a language. Raises :class:`KeyError` for a language that the typesetter doesn't know."""
    table = _pitch_data()["languages"][language]
    return {name: (octave, step, Fraction(alter)) for name, (octave, step, alter) in table.items()}


DEFAULT_LANGUAGE = "nederlands"
