"""The options that say what is printed on the page."""

from __future__ import annotations

import argparse

from ..config import DENSITIES


def add_page_options(parser: argparse.ArgumentParser) -> None:
    """Add them to the parser of a command that puts digits in."""
    group = parser.add_argument_group("the page")
    group.add_argument(
        "--density",
        choices=DENSITIES,
        help="print all digits (default), those at the beginning and the turns of placings, or only those that a "
        "trained hand needs to be told",
    )
