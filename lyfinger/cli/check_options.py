"""The options of ``lyfinger check`` that say which findings are wanted, and in what form."""

from __future__ import annotations

import argparse


def add_check_options(parser: argparse.ArgumentParser) -> None:
    """Add them to the parser of the command."""
    parser.add_argument(
        "--fail-on",
        choices=("error", "warning"),
        default="error",
        help="the least finding that makes the exit status 1 (default: error)",
    )
    group = parser.add_argument_group("findings")
    group.add_argument("--select", metavar="RULE,...", type=_names, action="extend", help="these rules alone")
    group.add_argument("--ignore", metavar="RULE,...", type=_names, action="extend", help="all rules but these")
    form = group.add_mutually_exclusive_group()
    form.add_argument(
        "--format",
        choices=("text", "json", "sarif"),
        default="text",
        help="a line each (default), JSON, or SARIF 2.1.0 for code hosts and editors",
    )
    form.add_argument(
        "--summary", action="store_true", help="how many findings each rule has, in place of the findings"
    )


def _names(text: str) -> list[str]:
    names = [name.strip() for name in text.split(",") if name.strip()]
    if not names:
        raise argparse.ArgumentTypeError("a rule's name is missing")
    return names
