"""From file names to a plan: the configuration of each file, the run's library, and the readings."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ..checking.findings import in_order, in_rules_words
from ..config import Config, find_config, load_config
from ..marking.excerpt import Excerpt
from ..marking.plan import Plan, make_plan
from ..marking.player import player_of
from ..reading.reader import read
from ..score.model import Reading
from ..source.library import STANDARD_INPUT, Library
from ..source.messages import Message, Severity
from ..source.text import SourceFile
from .choosing import excerpt_of
from .streams import read_stdin, say


@dataclass(frozen=True, slots=True)
class Session:
    """The files of a run that share a configuration; they are read from one library and planned together."""

    config: Config
    library: Library
    plan: Plan


Planner = Callable[[Sequence[Reading], Config, Sequence[Reading], Excerpt], Plan]


def _none(config: Config) -> list[Reading]:
    return []


def open_sessions(
    options: argparse.Namespace,
    files: Sequence[str],
    earlier: Callable[[Config], Sequence[Reading]] = _none,
    planner: Planner = make_plan,
) -> list[Session]:
    """Read and plan the files that the user named, one session for each configuration among them.

    ``earlier`` gives the earlier markings, whose digits are preferred; ``planner`` makes the plan. Raises Refused where
    a file or a configuration can't be read, or, with ``--strict``, be followed, and where a name chooses nothing.
    """
    names_by_config: dict[Path | None, list[str]] = {}
    for name in dict.fromkeys(files):
        names_by_config.setdefault(_config_path(options, name), []).append(name)
    excerpt = excerpt_of(options)
    sessions = [_open(options, path, names, earlier, planner) for path, names in names_by_config.items()]
    excerpt.refuse_unknown([score for session in sessions for score in session.plan.scores])
    return sessions


def _open(
    options: argparse.Namespace,
    config_path: Path | None,
    names: Sequence[str],
    earlier: Callable[[Config], Sequence[Reading]],
    planner: Planner,
) -> Session:
    config = load_config(config_path, os.path.relpath(config_path)) if config_path else Config()
    if options.hand:
        config = replace(config, hand=options.hand, hand_span=None, hand_reach={})
    library = Library([*options.include_dirs, *config.include])
    roots = dict.fromkeys(_root(options, library, name) for name in names)
    readings = [_read(root, library, options.strict) for root in roots]
    return Session(config, library, planner(readings, config, earlier(config), excerpt_of(options)))


def _config_path(options: argparse.Namespace, name: str) -> Path | None:
    if options.config:
        return Path(options.config).absolute()
    folder = os.path.dirname(_stdin_name(options) if name == STANDARD_INPUT else name)
    return find_config(Path(os.path.normpath(Path(folder).absolute())))


def _root(options: argparse.Namespace, library: Library, name: str) -> SourceFile:
    return library.stdin(read_stdin(), _stdin_name(options)) if name == STANDARD_INPUT else library.root(name)


def _stdin_name(options: argparse.Namespace) -> str:
    return options.stdin_filename or STANDARD_INPUT


def _read(root: SourceFile, library: Library, strict: bool) -> Reading:
    return read(library.reopen(root), library, strict=strict)


def worth_saying(plan: Plan, messages: Iterable[Message]) -> list[Message]:
    """The warnings and errors among messages in order; where nothing at all has a hand, the notes too."""
    least = Severity.WARNING if any(root.has_hands for root in plan.roots) else Severity.NOTE
    files = [file for root in plan.roots for file in root.reading.files]
    return in_order((message for message in messages if message.severity >= least), files)


def say_messages(sessions: Iterable[Session]) -> None:
    """Print what reading, hands and search have to say of what is chosen on standard error.

    Whatever it is, the command goes on, so it is a warning at most; what is an error in music ``check`` says.
    """
    for session in sessions:
        reach = player_of(session.config).reach
        said = worth_saying(session.plan, in_rules_words(session.plan, reach))
        for message in session.plan.excerpt.of(said, session.plan.scores):
            say(replace(message, severity=min(message.severity, Severity.WARNING)))
