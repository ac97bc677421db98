"""From file names to a plan: the configuration of each file, the run's library, and the readings."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import NamedTuple

from ..checking.order import worth_saying
from ..config import Config, config_beside, settings_at
from ..marking.plan import Plan, make_plan
from ..marking.player import player_of
from ..reading.roots import Root, read_root
from ..score.model import Reading
from ..source.library import STANDARD_INPUT, Library
from ..source.messages import Message, Refused, Severity
from ..source.text import Place, SourceFile, Stretch
from .choosing import excerpt_of
from .streams import read_stdin, say


class Sources(NamedTuple):
    """The files of a run that share a configuration and were read from one library.

    ``roots`` are the files that the user named, as far as they could be read; ``earlier`` the earlier markings.
    """

    config: Config
    library: Library
    roots: tuple[Root, ...]
    earlier: tuple[Reading, ...] = ()

    @property
    def readings(self) -> Iterator[Reading]:
        """What was read of all roots, in order."""
        return (reading for root in self.roots for reading in root.readings)

    def document(self, file: SourceFile) -> SourceFile:
        """The file itself, or the document that it is a snippet of."""
        return file.whole if isinstance(file, Stretch) else file

    @property
    def files(self) -> dict[SourceFile, None]:
        """The files that the roots are and include, documents as a whole, each once."""
        found: dict[SourceFile, None] = {}
        for root in self.roots:
            found[root.file] = None
            found.update((self.document(file), None) for reading in root.readings for file in reading.files)
        return found

    def assets(self) -> list[Path]:
        """The other files that the music names and that are there (absolute)."""
        named = (item for reading in self.readings for item in reading.assets)
        found = (self.library.asset(place.file, name) for place, name in named)
        return list(dict.fromkeys(path for path in found if path is not None))


class Session(NamedTuple):
    """What was read under one configuration, and the plan that was made for all of it together."""

    sources: Sources
    plan: Plan

    @property
    def config(self) -> Config:
        return self.sources.config

    @property
    def library(self) -> Library:
        return self.sources.library

    @property
    def roots(self) -> tuple[Root, ...]:
        return self.sources.roots


class Opened(NamedTuple):
    """What became of the files that the user named: the sessions, and why the others are refused."""

    sessions: tuple[Session, ...]
    refusals: tuple[Refused, ...]


PAGE = ("density", "chords", "outside", "brackets", "slides", "crossings", "hand_signs")
"""The settings of the page that have an option each."""

Planner = Callable[..., Plan]
"""Takes what :func:`make_plan` takes, ``chosen`` only of a command that has ``--locks``."""


def _none(config: Config) -> list[Reading]:
    return []


def open_sessions(options: argparse.Namespace, files: Sequence[str], planner: Planner = make_plan) -> list[Session]:
    """Read and plan files as :func:`open_readable` does. Raises Refused if any of them is refused."""
    opened = open_readable(options, files, planner=planner)
    if opened.refusals:
        raise opened.refusals[0]
    return list(opened.sessions)


def open_readable(
    options: argparse.Namespace,
    files: Sequence[str],
    earlier: Callable[[Config], Sequence[Reading]] = _none,
    planner: Planner = make_plan,
) -> Opened:
    """Read and plan the files that the user named, one session for each configuration among them.

    ``earlier`` gives the earlier markings, whose digits are preferred; ``planner`` makes the plan. What can't be read,
    or, with ``--strict``, be followed, is left out and refused, and so are all files of a configuration that can't be.
    Raises Refused if nothing is left, and where a name chooses nothing.
    """
    sessions: list[Session] = []
    refusals: list[Refused] = []
    for path, names in by_configuration(options, files).items():
        try:
            sessions += _open(options, path, names, earlier, planner, refusals)
        except Refused as refused:
            refusals.append(refused)
    excerpt = excerpt_of(options)
    once = refused_once(refusals, nothing_left=not sessions)
    if not refusals:  # the names may stand in what was refused
        excerpt.refuse_unknown(excerpt.heard([score for session in sessions for score in session.plan.scores]))
    return Opened(tuple(sessions), once)


def by_configuration(options: argparse.Namespace, files: Iterable[str]) -> dict[Path | None, list[str]]:
    """The names of files, each once, by the configuration that they share (None: there is none)."""
    found: dict[Path | None, list[str]] = {}
    for name in dict.fromkeys(files):
        found.setdefault(_config_path(options, name), []).append(name)
    return found


def refused_once(refusals: Sequence[Refused], *, nothing_left: bool) -> tuple[Refused, ...]:
    """Refusals, each once. Raises Refused if there is only one, and nothing else."""
    once = {str(refused): refused for refused in refusals}
    if nothing_left and len(once) == 1:
        raise refusals[0]
    return tuple(once.values())


def _open(
    options: argparse.Namespace,
    config_path: Path | None,
    names: Sequence[str],
    earlier: Callable[[Config], Sequence[Reading]],
    planner: Planner,
    refusals: list[Refused],
) -> list[Session]:
    """The session of a configuration, if any of its files can be read; refusals of the others are added."""
    config = settings_of(options, config_path)
    library = library_of(options, config)
    roots: dict[SourceFile, Root] = {}
    for name in names:
        try:
            open_root(options, library, name, roots)
        except Refused as refused:
            refusals.append(refused)
    if not roots:
        return []
    return [planned(options, Sources(config, library, tuple(roots.values()), tuple(earlier(config))), planner)]


def settings_of(options: argparse.Namespace, config_path: Path | None) -> Config:
    """The settings of a configuration, with what the command line says instead. Raises Refused."""
    config = settings_at(config_path)
    if options.hand:
        config = config.for_hand(options.hand)
    asked = {key: getattr(options, key, None) for key in PAGE}
    return config._replace(**{key: value for key, value in asked.items() if value is not None})


def library_of(options: argparse.Namespace, config: Config) -> Library:
    """An empty library that looks up includes as a command line and a configuration say."""
    return Library([*options.include_dirs, *config.include])


def open_root(options: argparse.Namespace, library: Library, name: str, roots: dict[SourceFile, Root]) -> None:
    """Read a file that the user named and add it to the roots, if it is none of them already. Raises Refused."""
    file = library.stdin(read_stdin(), _stdin_name(options)) if name == STANDARD_INPUT else library.root(name)
    if file not in roots:
        roots[file] = read_root(file, library, strict=options.strict)


def planned(options: argparse.Namespace, sources: Sources, planner: Planner) -> Session:
    """Plan what was read. Raises Refused for a hand or a harp that can't be, or locks that don't fit."""
    readings = list(sources.readings)
    chosen = _chosen(options, readings)
    make = partial(planner, chosen=chosen) if chosen else planner
    return Session(sources, make(readings, sources.config, sources.earlier, excerpt_of(options)))


def _chosen(options: argparse.Namespace, readings: Sequence[Reading]) -> dict[Place, int]:
    """The digits of ``--locks``, where the command has it."""
    path: Path | None = getattr(options, "locks", None)
    if path is None:
        return {}
    from ..marking.locks import chosen_fingers, parse_locks

    return chosen_fingers(parse_locks(path.read_bytes(), str(path)), readings)


def _config_path(options: argparse.Namespace, name: str) -> Path | None:
    if options.config:
        return Path(options.config).absolute()
    return config_beside(_stdin_name(options) if name == STANDARD_INPUT else name)


def _stdin_name(options: argparse.Namespace) -> str:
    return options.stdin_filename or STANDARD_INPUT


def say_messages(sessions: Iterable[Session]) -> None:
    """Print on standard error what :func:`messages_of` finds."""
    for session in sessions:
        for message in messages_of(session):
            warn(message)


def messages_of(session: Session) -> list[Message]:
    """What reading, hands and search have to say of what is chosen, in order."""
    if not session.plan.messages:
        return []
    from ..checking.findings import in_rules_words

    said = worth_saying(session.plan, in_rules_words(session.plan, player_of(session.config).reach))
    return list(session.plan.excerpt.of(said, session.plan.scores))


def warn(message: Message) -> None:
    """Say a message. The command goes on, so it is a warning at most; what is an error in music ``check`` says."""
    say(message._replace(severity=min(message.severity, Severity.WARNING)))
