"""The options that a build tool wants of ``mark``."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_build_options(parser: argparse.ArgumentParser) -> None:
    """Add what make and ninja need: dependencies, a stamp, several processes."""
    group = parser.add_argument_group("in a build")
    group.add_argument(
        "--depfile",
        metavar="FILE",
        type=Path,
        help="list here, as make and ninja read it, every file that was read; its target is the stamp, or OUT, or "
        "the marked FILEs below DIR",
    )
    group.add_argument(
        "--stamp",
        metavar="FILE",
        type=Path,
        help="renew this empty file when all is done; then OUT keeps its time too where its bytes stay",
    )
    group.add_argument(
        "--engraved",
        metavar="SUFFIX",
        type=_suffix,
        help="with --output-dir: beside each marked FILE one more dependency file, NAME.d for NAME.ly, that says what "
        "its engraving NAME.pdf depends on (SUFFIX is .pdf)",
    )
    add_jobs(group)


def add_jobs(group: argparse._ActionsContainer, default: int = 1) -> None:
    """Add ``--jobs``."""
    group.add_argument(
        "--jobs",
        metavar="N",
        type=_jobs,
        default=default,
        help="work in so many processes (0: one for each processor); the result is the same (default: %(default)s)",
    )


def _jobs(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 5):
        raise argparse.ArgumentTypeError(f"{text} is not a number of processes")
    return int(text)


def _suffix(text: str) -> str:
    if not text.startswith(".") or len(text) < 2 or "/" in text:
        raise argparse.ArgumentTypeError(f"{text} is not the ending of a file name, such as .pdf")
    return text
