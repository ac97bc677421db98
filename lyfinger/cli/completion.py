"""``lyfinger completion``: what a shell needs to complete commands, options and file names."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from ..source.messages import Refused
from .exit import Exit
from .streams import write_stdout

_FILES = frozenset({"FILE", "OUT", "OLD", "NEW"})
_FOLDERS = frozenset({"DIR"})


def completion(options: argparse.Namespace) -> int:
    """Run ``lyfinger completion``; returns the exit status. Raises Refused without the package that writes it."""
    try:
        import shtab
    except ImportError as error:
        text = "completion needs the package shtab: python3 -m pip install 'lyfinger[completion]'"
        raise Refused(text) from error
    from .options import build_parser

    parser = build_parser()
    for action in _actions(parser):
        names = _names(action)
        if names & _FILES:
            action.complete = shtab.FILE  # type: ignore[attr-defined]
        elif names & _FOLDERS:
            action.complete = shtab.DIRECTORY  # type: ignore[attr-defined]
    write_stdout(shtab.complete(parser, options.shell).encode())
    return Exit.DONE


def _names(action: argparse.Action) -> set[str]:
    return {action.metavar} if isinstance(action.metavar, str) else set(action.metavar or ())


def _actions(parser: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    """Every argument of every command."""
    for action in parser._actions:
        yield action
        if isinstance(action, argparse._SubParsersAction):
            for command in action.choices.values():
                yield from _actions(command)
