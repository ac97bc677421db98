"""The texts of ``clear`` and ``diff``, and the options that say where a changed source goes."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..choices import FILE_NAME

CLEAR = """
Take finger numbers out of LilyPond source, in whatever spelling, so that mark plans them anew, and the signs that mark
has put in; everything else stays as it is, byte for byte. Only notes that a harpist's hand plays lose their digits. A
digit of music that also sounds where nothing is chosen stays, with a warning.
"""

CLEAR_EXAMPLES = """
examples:
  lyfinger clear harp.ly --bars 10-14 -o bare.ly
  lyfinger clear harp.ly --bars 10-14 | lyfinger mark - --stdin-filename harp.ly > anew.ly
                                            those bars fingered anew
  lyfinger clear harp.ly --staves lower --in-place
"""

DIFF = """
Tell in musical terms which finger numbers differ between two versions of a score or part: bar, beat, hand and note,
the old digit and the new one, and the notes that came or went. The exit status is 1 if there is any difference.
"""

DIFF_EXAMPLES = """
examples:
  lyfinger diff last-year/harp.ly harp.ly
  lyfinger mark harp.ly | lyfinger diff harp.ly - --stdin-filename harp.ly
                                            what mark would add
"""


def add_destination(parser: argparse.ArgumentParser, done: str, in_place: str) -> None:
    """Adds FILE and the options that say where it goes; ``done`` and ``in_place`` complete their help."""
    parser.add_argument("files", nargs="+", metavar="FILE", help="a score or part; - is standard input")
    where = parser.add_argument_group("destination").add_mutually_exclusive_group()
    where.add_argument("-o", "--output", metavar="OUT", help=f"write the one FILE, {done}, here (- is standard output)")
    where.add_argument(
        "--output-dir",
        metavar="DIR",
        type=Path,
        help="write every FILE and all that it includes below DIR, each at its path below the root",
    )
    where.add_argument("--in-place", action="store_true", help=in_place)
    where.add_argument("--diff", action="store_true", help="print the difference, write nothing; exit status 1 if any")
    parser.add_argument(
        "--root",
        metavar="DIR",
        type=Path,
        help=f"what --output-dir mirrors (default: the folder of {FILE_NAME}, else the working directory)",
    )
