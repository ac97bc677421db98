"""What one of several processes does: read files, tell what they share, mark those that hang together."""

from __future__ import annotations

import argparse
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from ..config import Config
from ..marking.excerpt import Heard
from ..marking.misspelt import Met, names_met
from ..marking.plan import make_plan
from ..marking.spread import Spread
from ..reading.roots import Root
from ..score.model import Reading
from ..source.library import Library
from ..source.messages import Refused
from ..source.text import SourceFile, Stretch
from .choosing import excerpt_of
from .crew import Ticket, Unlike
from .mark import Marking, marking_of
from .session import Session, Sources, library_of, open_root, planned


class Asked(NamedTuple):
    """A FILE, as it was named, and the number of its configuration."""

    number: int
    name: str


class Told(NamedTuple):
    """What was met in reading a FILE.

    ``opened`` are the real paths of files and the names by which they were opened, in order. Real paths too are
    ``read``, the files that it consists of, and ``own``, those among them in which it has a note or a digit, and the
    FILE itself. ``begun`` says whether it is a root that was not known by then.
    """

    opened: tuple[tuple[str, str], ...]
    read: frozenset[str]
    own: frozenset[str]
    begun: bool
    refused: Refused | None


class Report(NamedTuple):
    """What a process tells of its share, by the index of each FILE, and the files that it has read."""

    told: dict[int, Told]
    files: dict[Ticket, SourceFile]


class Part(NamedTuple):
    """What a process makes of its files of one configuration (its ``number``); ``indices`` are those of the FILEs.

    With the marking goes what only all parts together decide: whether any note has a hand, and the names that are met.
    """

    number: int
    indices: tuple[int, ...]
    marking: Marking | Refused
    has_hands: bool = False
    met: Met = Met()
    heard: tuple[Heard, ...] = ()

    def without_scores(self) -> Part:
        """The same with no more of the roots than what files there are, and what else they name."""
        if isinstance(self.marking, Refused):
            return self
        sources = self.marking.sources
        roots = tuple(root._replace(readings=tuple(map(_light, root.readings))) for root in sources.roots)
        return self._replace(marking=self.marking._replace(sources=sources._replace(roots=roots)))


class Desk:
    """The files of a run as one process knows them, with a library for each configuration."""

    def __init__(self, options: argparse.Namespace, asked: Sequence[Asked], configs: Mapping[int, Config]) -> None:
        self.options = options
        self.asked = asked
        self.configs = configs
        self.libraries = {number: library_of(options, config) for number, config in configs.items()}
        self.roots: dict[int, Root] = {}
        self._by_file: dict[int, dict[SourceFile, Root]] = {number: {} for number in configs}
        self._reals: dict[SourceFile, str] = {}

    def read(self, share: Iterable[int]) -> Report:
        """Read some of the files, by their indices."""
        told = {index: self._read(index) for index in share}
        return Report(told, self.files())

    def files(self) -> dict[Ticket, SourceFile]:
        """All files that were opened by now, those that had to be refused among them."""
        return {(number, real): file for number, library in self.libraries.items() for file, real, _ in library.opened}

    def mark(self, chosen: Collection[int], spread: Spread) -> list[Part]:
        """Mark some of the files, reading first what another process has read. Raises Unlike if that can't be read."""
        for index in sorted(set(chosen) - self.roots.keys()):
            if self._read(index).refused is not None or index not in self.roots:
                raise Unlike(f"{self.asked[index].name} can't be read any more")
        found = []
        for number in self.configs:
            indices = tuple(index for index in sorted(chosen) if self.asked[index].number == number)
            if indices:
                found.append(self._part(number, indices, spread))
        return found

    def _read(self, index: int) -> Told:
        number, name = self.asked[index]
        library, roots = self.libraries[number], self._by_file[number]
        before, count = len(library.opened), len(roots)
        refused = None
        try:
            open_root(self.options, library, name, roots)
        except Refused as error:
            refused = error
        opened = library.opened[before:]
        self._reals.update((file, real) for file, real, _ in opened)
        root = roots[opened[0][0]] if len(roots) > count else None
        if root is not None:
            self.roots[index] = root
        return Told(
            tuple((real, name) for _, real, name in opened),
            frozenset(map(self._real, _read_files(root))) if root else frozenset(),
            frozenset(map(self._real, _own_files(root))) if root else frozenset(),
            bool(opened) and (root is not None or opened[0][0] not in roots),
            refused,
        )

    def _real(self, file: SourceFile) -> str:
        return self._reals[file.whole if isinstance(file, Stretch) else file]

    def _part(self, number: int, indices: tuple[int, ...], spread: Spread) -> Part:
        roots = tuple(self.roots[index] for index in indices)
        sources = Sources(self.configs[number], self.libraries[number], roots)
        try:
            session = planned(self.options, sources, partial(make_plan, spread=spread))
        except Refused as refused:
            return Part(number, indices, refused)
        return self._marked(Part(number, indices, marking_of(self.options, session, spread)), session)

    def _marked(self, part: Part, session: Session) -> Part:
        plan, excerpt = session.plan, excerpt_of(self.options)
        hands = [item for root in plan.roots for item in root.hands]
        printed = ([s for r in root.readings for s in r.scores if s.printed] for root in session.roots)
        return part._replace(
            has_hands=any(root.has_hands for root in plan.roots),
            met=names_met(plan.scores, hands, session.config),
            heard=tuple(excerpt.heard(scores) for scores in printed),
        )


def tickets(
    files: Mapping[Ticket, SourceFile], configs: Mapping[int, Config], libraries: Mapping[int, Library]
) -> Iterator[tuple[Ticket, object]]:
    """What two processes have alike, and by which names they know it."""
    yield from files.items()
    for number, config in configs.items():
        yield ("library", number), libraries[number]
        yield ("config", number), config
        if config.file is not None:
            yield ("settings", number), config.file


def _light(reading: Reading) -> Reading:
    return Reading(reading.root, reading.files, reading.assets, [], [])


def _read_files(root: Root) -> set[SourceFile]:
    return {root.file, *(file for reading in root.readings for file in reading.files)}


def _own_files(root: Root) -> set[SourceFile]:
    """The files that may be changed for a root's sake, or that its digits hang on."""
    notes = [note.source for reading in root.readings for score in reading.scores for note in score.notes]
    return {root.file, *{note.place.file for note in notes}, *{one.place.file for note in notes for one in note.locked}}
