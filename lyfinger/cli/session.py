"""From file names to a plan: the configuration of each file, the run's library, and the readings."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Mapping, Sequence
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
from ..source.messages import Refused, Severity
from ..source.text import Place, SourceFile
from .choosing import excerpt_of
from .streams import read_stdin, say


class Session(NamedTuple):
    """The files of a run that share a configuration; they are read from one library and planned together.

    ``roots`` are the files that the user named, as far as they could be read; ``earlier`` the earlier markings;
    ``documents`` lead from a snippet to the document that it stands in.
    """

    config: Config
    library: Library
    plan: Plan
    roots: tuple[Root, ...]
    earlier: tuple[Reading, ...]
    documents: Mapping[SourceFile, SourceFile]

    def document(self, file: SourceFile) -> SourceFile:
        """The file itself, or the document that it is a snippet of."""
        return self.documents.get(file, file)

    @property
    def files(self) -> set[SourceFile]:
        """The files that the roots are and include, documents as a whole."""
        read = {self.document(file) for root in self.plan.roots for file in root.reading.files}
        return read | {root.file for root in self.roots}

    def assets(self) -> list[Path]:
        """The other files that the music names and that are there (absolute)."""
        named = (item for root in self.plan.roots for item in root.reading.assets)
        found = (self.library.asset(place.file, name) for place, name in named)
        return list(dict.fromkeys(path for path in found if path is not None))


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
    names_by_config: dict[Path | None, list[str]] = {}
    for name in dict.fromkeys(files):
        names_by_config.setdefault(_config_path(options, name), []).append(name)
    sessions: list[Session] = []
    refusals: list[Refused] = []
    excerpt = excerpt_of(options)
    for path, names in names_by_config.items():
        try:
            sessions += _open(options, path, names, earlier, planner, refusals)
        except Refused as refused:
            refusals.append(refused)
    once = {str(refused): refused for refused in refusals}
    if not sessions and len(once) == 1:
        raise refusals[0]
    if not refusals:  # the names may stand in what was refused
        excerpt.refuse_unknown([score for session in sessions for score in session.plan.scores])
    return Opened(tuple(sessions), tuple(once.values()))


def _open(
    options: argparse.Namespace,
    config_path: Path | None,
    names: Sequence[str],
    earlier: Callable[[Config], Sequence[Reading]],
    planner: Planner,
    refusals: list[Refused],
) -> list[Session]:
    """The session of a configuration, if any of its files can be read; refusals of the others are added."""
    config = settings_at(config_path)
    if options.hand:
        config = config.for_hand(options.hand)
    asked = {key: getattr(options, key, None) for key in PAGE}
    config = config._replace(**{key: value for key, value in asked.items() if value is not None})
    library = Library([*options.include_dirs, *config.include])
    roots: dict[SourceFile, Root] = {}
    for name in names:
        try:
            file = _root(options, library, name)
            if file not in roots:
                roots[file] = read_root(file, library, strict=options.strict)
        except Refused as refused:
            refusals.append(refused)
    if not roots:
        return []
    old = tuple(earlier(config))
    readings = [reading for root in roots.values() for reading in root.readings]
    chosen = _chosen(options, readings)
    plan = (partial(planner, chosen=chosen) if chosen else planner)(readings, config, old, excerpt_of(options))
    documents: dict[SourceFile, SourceFile] = {part: root.file for root in roots.values() for part in root.parts or ()}
    return [Session(config, library, plan, tuple(roots.values()), old, documents)]


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


def _root(options: argparse.Namespace, library: Library, name: str) -> SourceFile:
    return library.stdin(read_stdin(), _stdin_name(options)) if name == STANDARD_INPUT else library.root(name)


def _stdin_name(options: argparse.Namespace) -> str:
    return options.stdin_filename or STANDARD_INPUT


def say_messages(sessions: Iterable[Session]) -> None:
    """Print what reading, hands and search have to say of what is chosen on standard error.

    Whatever it is, the command goes on, so it is a warning at most; what is an error in music ``check`` says.
    """
    for session in sessions:
        if not session.plan.messages:
            continue
        from ..checking.findings import in_rules_words

        reach = player_of(session.config).reach
        said = worth_saying(session.plan, in_rules_words(session.plan, reach))
        for message in session.plan.excerpt.of(said, session.plan.scores):
            say(message._replace(severity=min(message.severity, Severity.WARNING)))
