"""Plans of real source, and the phrases of a hand: what lies between free lifts, with what ties phrases together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from pathlib import Path

from lyfinger.config import Config, find_config, load_config
from lyfinger.fingering.settings import Settings
from lyfinger.marking.plan import Plan, SolvedPassage, make_plan
from lyfinger.reading.reader import read
from lyfinger.score.model import Reading
from lyfinger.source.library import Library
from lyfinger.source.text import SourceFile

#: A source note: the name of its file and its character offset.
Where = tuple[str, int]


@dataclass(frozen=True)
class Piece:
    """Roots read, and planned together, from one library."""

    library: Library
    roots: tuple[SourceFile, ...]
    readings: tuple[Reading, ...]
    config: Config

    @classmethod
    def read(cls, folder: Path, *names: str) -> Piece:
        """Read and plan the roots ``names`` below ``folder``."""
        library = Library(directory=folder)
        found = find_config((folder / names[0]).parent)
        config = load_config(found, str(found)) if found else Config()
        roots = tuple(library.root(name) for name in names)
        return cls(library, roots, _readings(library, roots), config)

    @cached_property
    def plan(self) -> Plan:
        """The digits, decided when first asked for."""
        return make_plan(self.readings, self.config)

    def with_letter(self, where: Where, letter: str) -> Piece:
        """The same piece with one character of one file changed."""
        (file,) = [file for file in self.library.files if file.name == where[0]]
        text = file.text[: where[1]] + letter + file.text[where[1] + 1 :]
        library, files = self.library.twin({file: text.encode("utf-8", "surrogateescape")})
        roots = tuple(files[root] for root in self.roots)
        return Piece(library, roots, _readings(library, roots), self.config)

    def text_at(self, where: Where) -> str:
        """The source from a note on."""
        (file,) = [file for file in self.library.files if file.name == where[0]]
        return file.text[where[1] :]

    @property
    def digits(self) -> dict[Where, int]:
        """The new digits by source note."""
        return {(place.file.name, place.offset): digit.finger for place, digit in self.plan.digits.items()}

    @property
    def pitches(self) -> dict[tuple[object, ...], object]:
        """Every sounding of the piece and its pitch."""
        return {
            (reading.root.name, score.index, note.order, note.source.place.offset, note.moment): note.pitch
            for reading in self.readings
            for score in reading.scores
            for note in score.notes
        }

    def phrase_of(self, where: Where) -> frozenset[Where]:
        """The source notes of the phrases in which a note sounds, and of those that hang together with them."""
        groups: list[set[Where]] = []
        for group in _phrases(self.plan.passages):
            touching = [other for other in groups if other & group]
            groups = [other for other in groups if other not in touching] + [set(group).union(*touching)]
        return frozenset().union(*(group for group in groups if where in group))


def _readings(library: Library, roots: Iterable[SourceFile]) -> tuple[Reading, ...]:
    return tuple(read(library.reopen(root), library) for root in roots)


def _phrases(passages: Iterable[SolvedPassage]) -> Iterator[set[Where]]:
    """The phrases of all passages, those that a repeat joins made one."""
    for item in passages:
        starts = sorted({0, *item.answer.lifts})
        spans = [range(first, stop) for first, stop in pairwise([*starts, len(item.part.notes)])]
        home = {onset: number for number, span in enumerate(spans) for onset in span}
        joined = [{number} for number in range(len(spans))]
        for step in item.part.passage.steps:
            if step.after != step.before + 1 and not step.pause and step.gap < Settings().lift_gap:
                one, other = joined[home[step.before]], joined[home[step.after]]
                one |= other
                for number in one:
                    joined[number] = one
        for numbers in {id(numbers): numbers for numbers in joined}.values():
            yield {where for number in numbers for onset in spans[number] for where in _sources(item, onset)}


def _sources(item: SolvedPassage, onset: int) -> Iterator[Where]:
    for indices in item.part.notes[onset]:
        for index in indices:
            place = item.part.score.notes[index].source.place
            yield place.file.name, place.offset
