"""``lyfinger mark``: the digits into the source, and the result to where it was asked for."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import NamedTuple

from .. import __version__
from ..fingering.tables import forget_tables
from ..marking.books import whole
from ..marking.plan import make_plan, prove
from ..marking.proof import Changed, Outcome
from ..marking.spread import Spread
from ..source.layout import Layout, Output, refuse_overwriting, write_tree
from ..source.library import STANDARD_INPUT, read_picture
from ..source.messages import Message, Refused, Severity
from ..source.paths import from_here
from ..source.records import RootRecord, digest
from ..source.replace import is_already, replace_files
from ..source.text import SourceFile
from .building import Wanted, bookkeeping, engraving_rules, marked_name, refuse_without_target
from .caution import say_caution, stretches_of
from .earlier import read_earlier
from .exit import Exit
from .session import PAGE, Session, Sources, messages_of, open_readable, warn
from .streams import say, write_stdout
from .workers import spread_over

Outcomes = dict[SourceFile, Outcome]
Marked = tuple[Sources, Outcomes]


class Marking(NamedTuple):
    """The files of one configuration, what becomes of them, and what is to be said, in order; no score is held.

    ``stretches`` are what the caution is about, or why they can't be told from what is ignored.
    """

    sources: Sources
    outcomes: Outcomes
    messages: tuple[Message, ...]
    stretches: tuple[Message, ...] | Refused


class AllMarked(NamedTuple):
    """What a run comes to, and why some of its files are refused."""

    markings: Sequence[Marking]
    refusals: Sequence[Refused]


def mark(options: argparse.Namespace) -> int:
    """Run ``lyfinger mark``; returns the exit status. Raises Refused.

    Files that are refused are left out and said, and the rest is marked; dependencies and stamp then stay as they
    were, since not all is done.
    """
    refuse_misuse(options)
    refuse_without_target(options)
    markings, refusals = _apart(options) or _together(options)
    for marking in markings:
        for message in marking.messages:
            warn(message)
    say_caution(all_stretches(markings))
    for refusal in refusals:
        say(refusal)
    if not markings:
        return Exit.REFUSED
    status = written(options, [(marking.sources, marking.outcomes) for marking in markings], done=not refusals)
    return Exit.REFUSED if refusals else status


def _apart(options: argparse.Namespace) -> AllMarked | None:
    """All files read and marked by several processes, if they may be."""
    if options.jobs == 1:
        return None
    from .apart import marked_apart

    return marked_apart(options)


def _together(options: argparse.Namespace) -> AllMarked:
    """All files read by this process, and planned together; others help where the work can be divided."""
    spread = spread_over(options.jobs)
    opened = open_readable(options, options.files, partial(read_earlier, options), partial(make_plan, spread=spread))
    forget_tables()  # so that the proof finds room where the search has worked
    return AllMarked([marking_of(options, session, spread) for session in opened.sessions], opened.refusals)


def marking_of(options: argparse.Namespace, session: Session, spread: Spread) -> Marking:
    """Prove a planned session. Raises Refused."""
    outcomes = in_files(session.sources, _proven(options, session, spread))
    stretches: tuple[Message, ...] | Refused
    try:
        stretches = tuple(stretches_of(session))
    except Refused as refused:
        stretches = refused
    return Marking(session.sources, outcomes, tuple(messages_of(session)), stretches)


def in_files(sources: Sources, outcomes: Outcomes) -> Outcomes:
    """What becomes of the files as they stand on disk: documents as a whole, and nothing that no root has read."""
    books = {root.file: root.parts for root in sources.roots if root.parts is not None}
    read = sources.files
    return {file: outcome for file, outcome in whole(outcomes, books).items() if file in read}


def all_stretches(markings: Iterable[Marking]) -> list[Message]:
    """What the caution is about, in order. Raises Refused for a name in ``[check]`` that no rule has."""
    found: list[Message] = []
    for marking in markings:
        if isinstance(marking.stretches, Refused):
            raise marking.stretches
        found += marking.stretches
    return found


def _proven(options: argparse.Namespace, session: Session, spread: Spread) -> Outcomes:
    if not options.pedals:
        return prove(session.plan, session.library, spread)
    if options.only_bars or options.voices:
        raise Refused("mark: --pedals is for whole parts, since every change hangs on those before it")
    from .inscription import prove_with_pedals

    return prove_with_pedals(session, spread)


def written(options: argparse.Namespace, marked: Sequence[Marked], *, done: bool = True) -> int:
    """Send what became of the files to where the user asked for; returns the exit status. Raises Refused.

    ``done`` says whether these are all the files that were asked for.
    """
    if options.in_place:
        return _in_place(options, marked, done)
    if options.diff:
        return _diff(marked)
    if options.output_dir:
        return _output_dir(options, marked, done)
    return _one_output(options, *marked[0])


def refuse_misuse(options: argparse.Namespace) -> None:
    """Raise Refused for a destination that does not go with the files."""
    several = options.in_place or options.diff or options.output_dir
    if not several and len(options.files) > 1:
        raise Refused(f"{options.command}: several FILEs need --output-dir, --in-place or --diff")
    if options.in_place and STANDARD_INPUT in options.files:
        raise Refused(f"{options.command}: standard input can't be marked in place")
    if options.root and not options.output_dir:
        raise Refused(f"{options.command}: --root goes with --output-dir")
    if options.output_dir and STANDARD_INPUT in options.files and not options.stdin_filename:
        raise Refused(f"{options.command}: standard input needs --stdin-filename to have a place below --output-dir")


def _one_output(options: argparse.Namespace, sources: Sources, outcomes: Outcomes) -> int:
    wanted = Wanted.of(options)
    root = sources.roots[0].file
    data = _data(root, outcomes)
    target = options.output
    if target is None or target == STANDARD_INPUT:
        write_stdout(data)
    else:
        refuse_overwriting(Path(target), (file.path for file in sources.library.files if file.path))
        kept = bookkeeping(options, [sources], [target])
        out = [] if wanted.stamp and is_already(Path(target), data) else [(Path(target), data)]
        # Without a stamp the build hangs on OUT, which then comes last: where it is new, so are its dependencies.
        replace_files([*out, *kept] if wanted.stamp else [*kept, *out])
    left = sum(item.digits for item in outcomes.values() if isinstance(item, Changed) and item.file is not root)
    if left:
        verb = f"{options.command}s"
        say(f"{root.name}: {_left_alone(options.command, left)} (--output-dir or --in-place {verb} them too)")
    return Exit.DONE


def _left_alone(command: str, count: int) -> str:
    what, how = ("digit", "as they are") if command == "clear" else ("note", "unmarked")
    if count == 1:
        return f"1 {what} lies in an included file and stays {how.replace('they are', 'it is')}"
    return f"{count} {what}s lie in included files and stay {how}"


def _data(file: SourceFile, outcomes: Outcomes) -> bytes:
    outcome = outcomes[file]
    return outcome.data if isinstance(outcome, Changed) else file.data


def _changes(marked: Iterable[Marked]) -> list[Changed]:
    """What changes in all sessions. Raises Refused if two would change one file in two ways."""
    found: dict[str, tuple[Changed, Sources]] = {}
    for sources, outcomes in marked:
        for outcome in outcomes.values():
            if isinstance(outcome, Changed):
                key = os.path.realpath(outcome.file.path) if outcome.file.path else outcome.file.name
                first, other = found.setdefault(key, (outcome, sources))
                if first.data != outcome.data:
                    raise _two_ways(outcome.file, other, sources)
    return [change for change, _ in found.values()]


def _two_ways(file: SourceFile, first: Sources, second: Sources) -> Refused:
    a, b = (_a_root_that_reads(sources, file) for sources in (first, second))
    return Refused(f"{label(file)} would get other digits from {a} than from {b}, which has other settings")


def _a_root_that_reads(sources: Sources, file: SourceFile) -> str:
    readings = list(sources.readings)
    paths = {reading.root.name: [item.path for item in reading.files] for reading in readings}
    return next((name for name, files in paths.items() if file.path in files), readings[0].root.name)


def _in_place(options: argparse.Namespace, marked: Sequence[Marked], done: bool) -> int:
    changes = [(item.file.path, item) for item in _changes(marked)]
    targets = [(path, item) for path, item in changes if path is not None]
    kept = bookkeeping(options, [sources for sources, _ in marked], []) if done else []
    written = [(path, item.data) for path, item in targets]
    replace_files([*written, *kept], partial(_refuse_if_changed_meanwhile, targets))
    return Exit.DONE


def _refuse_if_changed_meanwhile(targets: Sequence[tuple[Path, Changed]]) -> None:
    for path, item in targets:
        if not is_already(path, item.file.data):
            raise Refused(f"{item.file.name} was changed by another program while it was read; nothing is written")


def _diff(marked: Sequence[Marked]) -> int:
    from .difference import unified_diff

    changes = _changes(marked)
    write_stdout(b"".join(unified_diff(label(item.file), item.file.data, item.data) for item in changes))
    return Exit.FOUND if changes else Exit.DONE


def label(file: SourceFile) -> str:
    """What a diff calls a file: its path from the working directory, since patch refuses one that goes up and down
    again."""
    path = from_here(file.path) if file.path else file.name
    return file.name if path.startswith(os.pardir) else path


def _output_dir(options: argparse.Namespace, marked: Sequence[Marked], done: bool) -> int:
    _changes(marked)
    read = [sources for sources, _ in marked]
    layout = Layout(_mirrored_root(options, read), options.output_dir.absolute())
    outputs = [output for sources, outcomes in marked for output in _outputs(layout, sources, outcomes)]
    records = [record for sources, outcomes in marked for record in _records(layout, sources, outcomes)]
    beside = engraving_rules(options, layout, read)
    targets = [marked_name(options, layout, sources, root.file) for sources in read for root in sources.roots]
    write_tree(layout, outputs, records, beside, bookkeeping(options, read, targets) if done else ())
    return Exit.DONE


def _mirrored_root(options: argparse.Namespace, found: Sequence[Sources]) -> Path:
    if options.root:
        return Path(os.path.normpath(options.root.absolute()))
    folders = {sources.config.folder or Path.cwd() for sources in found}
    if len(folders) > 1:
        raise Refused(f"{options.command}: these FILEs have different lyfinger.toml; say with --root what to mirror")
    return folders.pop()


def _outputs(layout: Layout, sources: Sources, outcomes: Outcomes) -> Iterator[Output]:
    for file in outcomes:
        for name in sources.library.names(file):
            yield Output(sources.library.absolute(name), _data(file, outcomes))
    for place, name in dict.fromkeys(asset for reading in sources.readings for asset in reading.assets):
        path = sources.library.asset(place.file, name)
        if path is None:
            say(Message(Severity.WARNING, place, f"{name} is not found and not carried along", "missing-picture"))
        else:
            layout.below_root(path)  # what lies elsewhere is refused before it is read
            yield Output(path, read_picture(path, place))


def _records(layout: Layout, sources: Sources, outcomes: Outcomes) -> Iterator[RootRecord]:
    config = sources.config.file.data if sources.config.file else b""
    page = tuple(getattr(sources.config, name) for name in PAGE)
    settings = digest(f"{__version__}\n{page}\n".encode() + config)
    for root in sources.roots:
        read = [root.file, *(sources.document(file) for reading in root.readings for file in reading.files)]
        files = {_name_below(layout, sources, file): file for file in read}
        yield RootRecord(
            root=_name_below(layout, sources, root.file),
            settings=settings,
            inputs={name: digest(file.data) for name, file in files.items()},
            outputs={name: digest(_data(file, outcomes)) for name, file in files.items()},
        )


def _name_below(layout: Layout, sources: Sources, file: SourceFile) -> str:
    return layout.below_root(sources.library.absolute(file.name)).as_posix()
