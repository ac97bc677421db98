"""Files read, planned and proven by several processes (``mark --jobs``), and put together as one would have them.

What is decided together must stay with one process. Two FILEs hang together where both read a file that is one of the
FILEs or has notes or digits of either; what several processes read then (a house style, a template) has nothing in it
that could be changed. Each process reads a share of the files and tells what it has met; this one finds what hangs
together, and says who marks what. Wherever the parts don't fit together in every respect, one process does all the work
anew: so what comes out is always what one would give.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping, Sequence
from functools import partial, reduce
from typing import NamedTuple

from ..checking.order import in_order
from ..config import Config
from ..marking.excerpt import Heard
from ..marking.misspelt import MISSPELT, Met, misspelt
from ..marking.proof import Changed
from ..marking.spread import one_by_one
from ..reading.parser import get_ready
from ..reading.roots import Root
from ..source.books import is_book
from ..source.library import Library
from ..source.messages import Message, Refused, Severity
from ..source.text import SourceFile
from .choosing import excerpt_of
from .crew import Crew, Strokes, Ticket, Unlike, opened, sealed
from .desk import Asked, Desk, Part, Report, Told, tickets
from .dividing import divided, groups, is_lasting, shares
from .mark import AllMarked, Marking, Outcomes, all_stretches
from .session import Sources, by_configuration, library_of, refused_once, settings_of
from .workers import processes, spread_over


def marked_apart(options: argparse.Namespace) -> AllMarked | None:
    """Read and mark the files of a run by as many processes as are asked for.

    None where one process must do it: with earlier markings, chosen digits or pedals, which are decided for all files
    together; where there is but one file, or one that can't be read twice (standard input, a pipe); and where the parts
    don't fit together. Raises Refused.
    """
    count = processes(options.jobs)
    together = options.keep or options.locks or options.pedals
    if count == 1 or together or len(set(options.files)) < 2 or not all(map(is_lasting, options.files)):
        return None
    run = _Run.of(options)
    shared = shares(run.asked, count)
    if len(shared) < 2:
        return None
    get_ready()
    try:
        return _gathered(run, *_parts(run, shared, count))
    except Unlike:
        return None


class _Run(NamedTuple):
    """What is asked for: each FILE with the number of its configuration, and the configurations, those that are
    refused among them."""

    options: argparse.Namespace
    asked: tuple[Asked, ...]
    configs: tuple[Config | Refused, ...]

    @classmethod
    def of(cls, options: argparse.Namespace) -> _Run:
        configs: list[Config | Refused] = []
        asked: list[Asked] = []
        for number, (path, names) in enumerate(by_configuration(options, options.files).items()):
            try:
                configs.append(settings_of(options, path))
            except Refused as refused:
                configs.append(refused)
            else:
                asked += (Asked(number, name) for name in names)
        return cls(options, tuple(asked), tuple(configs))


class _Known(NamedTuple):
    """What all processes have read: what was met with each FILE, and the files, one object for each; and where it is
    put together, the libraries, empty so far, by number."""

    told: Mapping[int, Told]
    files: Mapping[Ticket, SourceFile]
    libraries: Mapping[int, Library]


def _parts(run: _Run, shared: Sequence[list[int]], count: int) -> tuple[_Known, list[Part]]:
    """Everything read and marked. Raises Refused, and Unlike where two processes have not read the same."""
    configs = {number: config for number, config in enumerate(run.configs) if isinstance(config, Config)}
    desk = Desk(run.options, run.asked, configs)
    with Crew(Strokes(desk.read, partial(_sealed, desk)), shared[1:]) as crew:
        reports = [desk.read(shared[0]), *crew.told()]
        told = {index: one for report in reports for index, one in report.told.items()}
        files = _agreed(reports)

        def size(index: int) -> int:
            return sum(len(files[run.asked[index].number, real].data) for real in told[index].own)

        chosen, alone = divided(groups(run.asked, told), shared, size, count)
        crew.tell(chosen[1:])
        parts = desk.mark(chosen[0], one_by_one if alone else spread_over(count))
        rest = crew.done()
    _refuse_unlike(files, desk.files())
    files.update(desk.files())  # the parts of this process speak of these
    known = _Known(told, files, {number: library_of(run.options, config) for number, config in configs.items()})
    things = dict(tickets(files, configs, known.libraries))
    for data in rest:
        more, again = opened(data, things)
        _refuse_unlike(files, again)
        parts += more
    return known, parts


def _sealed(desk: Desk, chosen: Sequence[int]) -> bytes:
    """What a copy makes of the files that are its to mark, and the files that it had to read for that."""
    before = desk.files()
    parts = [part.without_scores() for part in desk.mark(chosen, one_by_one)]
    again = {ticket: file for ticket, file in desk.files().items() if ticket not in before}
    copies = {ticket: SourceFile(file.name, file.data, file.path) for ticket, file in again.items()}
    return sealed((parts, copies), tickets(desk.files(), desk.configs, desk.libraries))


def _agreed(reports: Iterable[Report]) -> dict[Ticket, SourceFile]:
    """One file for each that several processes have read. Raises Unlike."""
    found: dict[Ticket, SourceFile] = {}
    for report in reports:
        for ticket, file in report.files.items():
            found.setdefault(ticket, file)
        _refuse_unlike(found, report.files)
    return found


def _refuse_unlike(files: Mapping[Ticket, SourceFile], others: Mapping[Ticket, SourceFile]) -> None:
    """Raise Unlike unless others have the same names and bytes: a file may have changed, or have been met elsewhere."""
    for ticket, other in others.items():
        file = files.get(ticket)
        if file is None or (file.name, file.path, file.data) != (other.name, other.path, other.data):
            raise Unlike(f"{other.name} was read in two ways")


def _gathered(run: _Run, known: _Known, parts: Sequence[Part]) -> AllMarked:
    """What one process would have made of all files. Raises Refused as that would, and Unlike."""
    markings: list[Marking] = []
    refusals: list[Refused] = []
    for number, config in enumerate(run.configs):
        if isinstance(config, Refused):
            refusals.append(config)
            continue
        told = {index: one for index, one in known.told.items() if run.asked[index].number == number}
        refusals += (one.refused for _, one in sorted(told.items()) if one.refused is not None)
        own = [part for part in parts if part.number == number]
        refused = [part.marking for part in own if isinstance(part.marking, Refused)]
        refusals += refused
        if own and not refused:
            markings.append(_whole(config, known._replace(told=told), own))
    once = refused_once(refusals, nothing_left=not markings)
    if not refusals:
        heard = sorted((pair for part in parts for pair in zip(part.indices, part.heard, strict=True)), key=_index)
        excerpt_of(run.options).refuse_unknown(reduce(Heard.and_then, (one for _, one in heard), Heard()))
    return AllMarked(markings, once)


def _index(pair: tuple[int, object]) -> int:
    return pair[0]


def _whole(config: Config, known: _Known, parts: Sequence[Part]) -> Marking:
    """The parts of one configuration put together."""
    found = [(part, part.marking) for part in parts if isinstance(part.marking, Marking)]
    number = parts[0].number
    roots = {
        index: root for part, marking in found for index, root in zip(part.indices, marking.sources.roots, strict=True)
    }
    library = known.libraries[number]
    _fill(library, number, known, roots)
    sources = Sources(config, library, tuple(root for _, root in sorted(roots.items(), key=_index)))
    files = [file for reading in sources.readings for file in reading.files]
    return Marking(
        sources,
        _outcomes(library, [marking.outcomes for _, marking in found]),
        tuple(in_order(_messages(config, found), files)),
        _stretches([marking for _, marking in found], files),
    )


def _fill(library: Library, number: int, known: _Known, roots: Mapping[int, Root]) -> None:
    """Have a library know the files as if it had opened them itself, one FILE after the other.

    Raises Unlike if they are too many for one.
    """
    for index, one in sorted(known.told.items()):
        for at, (real, name) in enumerate(one.opened):
            file = known.files[number, real]
            try:
                library.take(file, real, name)
            except Refused as refused:
                raise Unlike(str(refused)) from refused
            if at == 0 and one.begun:
                _begin(library, file, roots.get(index))


def _begin(library: Library, file: SourceFile, root: Root | None) -> None:
    if not is_book(file.name):
        library.reopen(file)
    elif root is not None:
        for part in root.parts or ():
            library.reopen(library.stretch(part))


def _stretches(markings: Sequence[Marking], files: Iterable[SourceFile]) -> tuple[Message, ...] | Refused:
    for marking in markings:
        if isinstance(marking.stretches, Refused):
            return marking.stretches
    return tuple(in_order(all_stretches(markings), files))


def _outcomes(library: Library, all_outcomes: Iterable[Outcomes]) -> Outcomes:
    """What becomes of each file, in the order in which they were met. Raises Unlike where parts have other answers."""
    found: Outcomes = {}
    for outcomes in all_outcomes:
        for file, outcome in outcomes.items():
            if file in found and (isinstance(outcome, Changed) or isinstance(found[file], Changed)):
                raise Unlike(f"{file.name} would be changed in two ways")
            found[file] = outcome
    return {file: found[file] for file in library.files if file in found}


def _messages(config: Config, found: Sequence[tuple[Part, Marking]]) -> list[Message]:
    """The messages of all parts, and what only all of them together can say. Raises Unlike where it matters whose
    message about a shared file is the first."""
    least = Severity.WARNING if any(part.has_hands for part, _ in found) else Severity.NOTE
    told: dict[tuple[SourceFile, int, str], Message] = {}
    for one in (one for _, marking in found for one in marking.messages):
        worth = one.severity >= least and one.rule != MISSPELT
        if worth and told.setdefault((one.place.file, one.place.offset, one.rule), one) != one:
            raise Unlike(f"two messages at {one.place}")
    met = reduce(Met.and_then, (part.met for part, _ in found), Met())
    return [*told.values(), *misspelt(met, config)]
