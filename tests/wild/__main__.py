"""Compare what lyfinger reads in music by chance with what the typesetter prints, and cut down what differs.

    python -m tests.wild --seed 7 --pieces 300          read, print, list what differs
    python -m tests.wild --seed 7 --shrink 5            the same, and make the first five as short as they can be

The exit status is 1 where a piece differs.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from .batch import judge_batch, shrunk
from .music import pieces


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(
        prog="python -m tests.wild", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seed", type=int, default=1, metavar="N")
    parser.add_argument("--pieces", type=int, default=200, metavar="N")
    parser.add_argument("--batch", type=int, default=50, metavar="N", help="pieces in one run of the typesetter")
    parser.add_argument(
        "--shrink", type=int, default=0, metavar="N", help="how many pieces to cut down, the shortest first"
    )
    options = parser.parse_args(arguments)
    wild = pieces(options.seed, options.pieces)
    differing: list[int] = []
    notes = warned = unruled = 0
    for first in range(0, len(wild), options.batch):
        batch = judge_batch([str(piece) for piece in wild[first : first + options.batch]])
        differing += [first + number for number in sorted(batch.told)]
        notes, warned, unruled = notes + batch.notes, warned + batch.warned, unruled + len(batch.unruled)
    print(f"{len(wild)} pieces, {notes} notes: {len(differing)} differ, {warned} notes warned, {unruled} not ruled")
    for number in sorted(differing, key=lambda number: wild[number].size)[: options.shrink]:
        small = shrunk(wild[number])
        print(f"\npiece {number}: {small}", *judge_batch([str(small)]).told.get(0, []), sep="\n    ", flush=True)
    return int(bool(differing))


if __name__ == "__main__":
    sys.exit(main())
