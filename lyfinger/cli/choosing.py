"""The options that choose a part of the music: ``--bars``, ``--staves``, ``--voices``."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..marking.excerpt import Excerpt


def add_choice(parser: argparse.ArgumentParser, verb: str) -> None:
    """Adds all of them to a command that does ``verb`` to notes."""
    group = parser.add_argument_group("choice (the rest is planned all the same)")
    group.add_argument(
        "--bars",
        dest="only_bars",
        metavar="FIRST[-LAST]",
        type=bar_range,
        help=f"{verb} these bars only (printed numbers)",
    )
    add_staves(group)
    group.add_argument(
        "--voices",
        metavar="NAME[,NAME]",
        type=_names,
        default=(),
        help=f"{verb} these voices only: their names, or 1 to 4 between \\\\",
    )


def add_staves(parser: argparse._ActionsContainer) -> None:
    """Adds ``--staves``."""
    parser.add_argument(
        "--staves",
        metavar="NAME[,NAME]",
        type=_names,
        default=(),
        help="the harp's staves, by their names or their instruments' (* stands for other letters), and only these",
    )


def excerpt_of(options: argparse.Namespace) -> Excerpt:
    """What a command line selects; a command without these options selects everything."""
    from ..marking.excerpt import Excerpt

    return Excerpt(
        bars=getattr(options, "only_bars", None),
        staves=getattr(options, "staves", ()),
        voices=getattr(options, "voices", ()),
    )


def bar_range(text: str) -> tuple[int, int]:
    """``12`` or ``12-14`` as the first and the last bar. Raises ArgumentTypeError for anything else."""
    found = re.fullmatch(r"(-?[0-9]{1,9})(?:-(-?[0-9]{1,9}))?", text)
    if found is None:
        raise argparse.ArgumentTypeError(f"{text} is not FIRST-LAST, such as 12-14")
    first = int(found[1])
    last = first if found[2] is None else int(found[2])
    if last < first:
        raise argparse.ArgumentTypeError(f"{text} ends before it begins")
    return first, last


def _names(text: str) -> tuple[str, ...]:
    names = tuple(name.strip() for name in text.split(","))
    if not all(names):
        raise argparse.ArgumentTypeError(f'"{text}" names nothing' if not text.strip() else f"{text} leaves a name out")
    return names
