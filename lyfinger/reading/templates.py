r"""The typesetter's templates for vocal scores: ``\include "satb.ly"`` prints what stands in variables of set names.

The scores are those of ``satb.ly`` and ``ssaattbb.ly`` in LilyPond 2.25.12, which are written in Scheme: staves for the
variables that are there, in this order. Words, names of instruments and what is only played are left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .syntax import Applied, Command, Node, ScoreBlock, Sequential, Simultaneous, VariableUse

OneVoice = tuple[str, str]
"""The prefix of the variables, and the clef."""

TwoVoices = tuple[str, str, OneVoice, OneVoice]
"""The variable that puts two voices into one staff, its clef, and the voices with the clefs of their own staves."""

SOLO: OneVoice = ("Solo", "treble")
TEMPLATES: dict[str, list[OneVoice | TwoVoices]] = {
    "satb.ly": [
        ("Descant", "treble"),
        ("Women", "treble"),
        ("TwoVoicesPerStaff", "treble", ("Soprano", "treble"), ("Alto", "treble")),
        ("TwoVoicesPerStaff", "bass", ("Tenor", "treble_8"), ("Bass", "bass")),
        ("Men", "bass"),
    ],
    "ssaattbb.ly": [
        ("Descant", "treble"),
        ("Women", "treble"),
        ("SopranoTwoVoicesPerStaff", "treble", ("SopranoOne", "treble"), ("SopranoTwo", "treble")),
        ("WomenTwoVoicesPerStaff", "treble", ("Soprano", "treble"), ("Alto", "treble")),
        ("AltoTwoVoicesPerStaff", "treble", ("AltoOne", "treble"), ("AltoTwo", "treble")),
        ("TenorTwoVoicesPerStaff", "treble_8", ("TenorOne", "treble_8"), ("TenorTwo", "treble_8")),
        ("MenTwoVoicesPerStaff", "bass", ("Tenor", "treble_8"), ("Bass", "bass")),
        ("BassTwoVoicesPerStaff", "bass", ("BassOne", "bass"), ("BassTwo", "bass")),
        ("Men", "bass"),
    ],
}
PIANO: list[OneVoice] = [("PianoRH", "treble"), ("PianoLH", "bass")]


def template_score(name: str, given: frozenset[str], variables: Mapping[str, Any], start: int, end: int) -> ScoreBlock:
    """The score that a template prints. ``given`` are the variables that are set to true, ``variables`` what the
    others hold; ``start`` and ``end`` (global offsets) are those of the ``\\include``."""
    return _Template(given, variables, start, end).score(TEMPLATES[name])


class _Template:
    def __init__(self, given: frozenset[str], variables: Mapping[str, Any], start: int, end: int) -> None:
        self.given = given
        self.variables = variables
        self.start = start
        self.end = end

    def score(self, choir: list[OneVoice | TwoVoices]) -> ScoreBlock:
        staves = [staff for part in choir for staff in self._part(part)]
        groups = [
            *self._one(*SOLO),
            *self._group("ChoirStaff", staves),
            *self._group("PianoStaff", [staff for part in PIANO for staff in self._one(*part)]),
        ]
        music = self._applied("keepWithTag", (("print",),), self._together(groups))
        return ScoreBlock(self.start, self.end, [music], ["layout"])

    def _part(self, part: OneVoice | TwoVoices) -> list[Node]:
        if len(part) == 2:
            return self._one(*part)
        switch, clef, first, second = part
        if self.given & {switch, "TwoVoicesPerStaff"}:
            return self._two(clef, first[0], second[0])
        return [*self._one(*first), *self._one(*second)]

    def _one(self, name: str, clef: str) -> list[Node]:
        if not self._holds(f"{name}Music"):
            return []
        return [self._context("Staff", name, Sequential(self.start, self.end, [*self._head(clef), self._voice(name)]))]

    def _two(self, clef: str, first: str, second: str) -> list[Node]:
        names = [name for name in (first, second) if self._holds(f"{name}Music")]
        sides = ["voiceOne", "voiceTwo"] if len(names) == 2 else ["oneVoice"]
        voices = [self._voice(name, side) for name, side in zip(names, sides, strict=False)]
        return [self._context("Staff", first + second, self._together([*self._head(clef), *voices]))] if voices else []

    def _head(self, clef: str) -> list[Node]:
        key: list[Node] = [self._use("Key")] if self._holds("Key") else []
        return [*key, Command(self.start, self.end, "clef", (clef,))]

    def _voice(self, name: str, side: str | None = None) -> Node:
        parts: list[Node] = [self._use("Time")] if self._holds("Time") else []
        if side is not None:
            parts.append(Command(self.start, self.end, side))
        return self._context("Voice", name, self._together([*parts, self._use(f"{name}Music")]))

    def _group(self, kind: str, staves: list[Node]) -> list[Node]:
        return [self._context(kind, "", self._together(staves))] if staves else []

    def _context(self, kind: str, name: str, body: Node) -> Node:
        return self._applied("context", (kind, f"{name}{kind}", True, {}), body)

    def _applied(self, name: str, arguments: tuple[Any, ...], body: Node) -> Node:
        return Applied(self.start, self.end, name, arguments, [body])

    def _together(self, items: list[Node]) -> Node:
        return Simultaneous(self.start, self.end, items)

    def _holds(self, name: str) -> bool:
        return isinstance(self.variables.get(name), Node)

    def _use(self, name: str) -> Node:
        return VariableUse(self.start, self.end, name, self.variables[name])
