"""The options that are about pedals and levers."""

from __future__ import annotations

import argparse

DESCRIPTION = """ List what the pedals do, for each player of each score: the setting before the start, each change
with its place, and what can't be. For a lever harp: the levers before the start, and each change with the hand that
is free for it.
"""

EXAMPLES = """
examples:
  lyfinger pedals harp.ly                   the plan, to be read
  lyfinger pedals --respell harp.ly         where no plan exists: a proposal that respells notes, as a unified
                                            diff for patch; nothing is written
  lyfinger mark --pedals harp.ly -o out.ly  the plan, printed into the part with the digits
"""


def add_to_mark(parser: argparse.ArgumentParser) -> None:
    """The option of ``mark`` that prints the pedals too."""
    parser.add_argument(
        "--pedals", action="store_true", help="print the starting setting of the pedals and their changes as well"
    )


def add_to_pedals(parser: argparse.ArgumentParser) -> None:
    """The options of ``pedals``."""
    parser.add_argument("files", nargs="+", metavar="FILE", help="a score or part; - is standard input")
    what = parser.add_mutually_exclusive_group()
    what.add_argument("--format", choices=("text", "json"), default="text", help="to be read (default), or JSON")
    what.add_argument(
        "--respell",
        action="store_true",
        help="print, as a unified diff, a respelling that can be pedalled; exit status 1 if there is one to print",
    )
