"""The options that say what is printed on the page."""

from __future__ import annotations

import argparse
import math
from pathlib import Path

from ..choices import CHORDS, DENSITIES
from .build_options import add_jobs

TIMEOUT = 300
"""Seconds that the typesetter has for one score: some hundred pages take it a minute."""


def add_page_options(parser: argparse.ArgumentParser) -> None:
    """Add them to the parser of a command that puts digits in."""
    group = parser.add_argument_group("the page")
    group.add_argument(
        "--density",
        choices=DENSITIES,
        help="print all digits (default), those at the beginning and the turns of placings, or only those that a "
        "trained hand needs to be told",
    )
    group.add_argument(
        "--chords",
        choices=CHORDS,
        help="where the source has the digits of a chord: inside it, or behind it where it has a second, which makes "
        "one column of them (default); behind every chord; or inside it, to be printed left of its heads",
    )
    group.add_argument(
        "--outside", action="store_true", default=None, help="set digits outside slurs, ties and tuplet numbers"
    )
    group.add_argument("--brackets", action="store_true", default=None, help="draw a bracket over each placing")
    group.add_argument(
        "--slides", action="store_true", default=None, help="draw a line from digit to digit where a finger slides"
    )
    group.add_argument(
        "--crossings",
        action="store_true",
        default=None,
        help="draw an arc at the digit of a finger that crosses: below it for crossing under, above for over",
    )
    group.add_argument(
        "--hand-signs", action="store_true", default=None, help="print L.H. and R.H. where a hand leaves its staff"
    )


def add_locks_option(parser: argparse.ArgumentParser) -> None:
    """Add the option that takes what was chosen on a proof."""
    parser.add_argument(
        "--locks",
        metavar="FILE",
        type=Path,
        help="digits chosen on the page of lyfinger proof: put in, and the rest is planned around them",
    )


def add_proof_options(parser: argparse.ArgumentParser) -> None:
    """Add the options that the proof has alone."""
    parser.add_argument("-o", "--output", metavar="OUT", help="write the page here (default: standard output)")
    parser.add_argument(
        "--lilypond",
        metavar="PROGRAM",
        help="the typesetter to engrave with (default: the Python package lilypond, else lilypond on PATH)",
    )
    parser.add_argument(
        "--timeout",
        metavar="SECONDS",
        type=_seconds,
        default=TIMEOUT,
        help=f"end the typesetter after so many seconds for one score (default: {TIMEOUT}; 0: never)",
    )
    add_jobs(parser, default=0)  # somebody is waiting, and no other build step beside it


def _seconds(text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = -1
    if not 0 <= number < math.inf:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of seconds from 0 on")
    return number
