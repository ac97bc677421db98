"""The fit of the hand, shown: how far apart strings stand, and what each pair of fingers makes of it.

``python -m tests.harp.fit`` writes the table ``tests/harp/fit-table.txt`` and the plot ``samples/pages/spread.svg``; a
test holds both to the numbers in ``lyfinger/harp``. Over each block stands what its rows were for:

fitted
    The medium hand was fitted on the octave above middle C of the concert harp; the sizes of the small and the large
    hand on single shifts that the trade reports.
looked at
    Not fitted, but known while fitting: no proof of anything foretold.
unseen
    Not asked before the numbers stood. Nothing was changed after it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.harp.hand import LARGE, MEDIUM, PAIRS, SMALL, HandProfile, Spread
from lyfinger.harp.profile import HARPS, PEDAL, HarpProfile
from lyfinger.harp.reach import Reach
from lyfinger.score.pitch import string_name
from tests.fingering.music import connected, onset
from tests.fingering.trade_tables import INTERVALS

TABLE = Path(__file__).parent / "fit-table.txt"
PLOT = Path(__file__).parent.parent.parent / "samples" / "pages" / "spread.svg"

NAMES = {2: "2nd", 3: "3rd", 4: "4th", 5: "5th", 6: "6th", 7: "7th", 8: "8ve", 9: "9th", 10: "10th"}
LEVER, SMALL_PEDAL = HARPS["lever-36"], HARPS["small-pedal"]
TIGHT = HarpProfile("tight", 14, 49, ((28, 12_500),))
"""12.5 mm everywhere: the narrowest that is published."""
FITTED = range(28, 36)
"""The strings on which the medium hand was fitted, C4 to C5."""

TRADE = {one.strings: one.fingers.replace("-", " ") for one in INTERVALS}
#: What may shift ([T] common practice, no source): small hand, wide spacing; large hand; large hand, narrow spacing.
SMALL_SHIFTS = {4: "3 1", 6: "4 1"}
LARGE_SHIFTS = {5: "2 1"}
TIGHT_SHIFTS = {6: "2 1"}
NARROW_SHIFTS = {5: "2 1", 6: "2 1", 8: "3 1"}


@dataclass(frozen=True)
class Block:
    """One hand on one harp in one register: intervals from the string ``low`` up."""

    hand: HandProfile
    harp: HarpProfile
    low: int
    status: str
    rows: tuple[tuple[int, str], ...]

    @property
    def title(self) -> str:
        return f"{self.hand.name} hand, {self.harp.name} harp, from {string_name(self.low)}: {self.status}"

    @property
    def reach(self) -> Reach:
        return Reach(self.hand, self.harp)

    def span(self, interval: int) -> int:
        """Distance in µm."""
        return self.harp.span(self.low, self.low + interval - 1)

    def chosen(self, interval: int) -> str:
        """What the search takes for the interval alone."""
        return chosen(self.hand, self.harp, self.low, interval)

    def agreed(self) -> list[int]:
        """The intervals that come out as the trade has them."""
        return [interval for interval, fingers in self.rows if self.chosen(interval) == fingers]


@cache
def chosen(hand: HandProfile, harp: HarpProfile, low: int, interval: int) -> str:
    """The fingers of two strings struck together by themselves, ``?`` where the hand does not reach."""
    answer = place(connected((onset((low, low + interval - 1)),)), hand, Settings(harp=harp))
    return "?" if answer.problems else " ".join(str(finger) for finger in answer.fingers[0])


def blocks() -> list[Block]:
    """Every hand in three registers of the concert harp, then on other harps."""
    trade, small, large = TRADE.items(), SMALL_SHIFTS.items(), LARGE_SHIFTS.items()
    found = [
        (hand, PEDAL, low, "fitted" if low == 28 else "looked at", rows)
        for hand, rows in ((MEDIUM, trade), (SMALL, small), (LARGE, large))
        for low in (28, 14, 42)
    ]
    found += [
        (LARGE, TIGHT, 28, "fitted", TIGHT_SHIFTS.items()),
        (LARGE, LEVER, 28, "looked at", NARROW_SHIFTS.items()),
        (MEDIUM, LEVER, 28, "looked at", trade),
        (MEDIUM, SMALL_PEDAL, 28, "unseen", trade),
        (SMALL, SMALL_PEDAL, 28, "unseen", small),
        (LARGE, SMALL_PEDAL, 28, "unseen", large),
    ]
    return [Block(hand, harp, low, status, tuple(rows)) for hand, harp, low, status, rows in found]


def everywhere(harp: HarpProfile, without: range) -> Iterator[tuple[int, int, bool]]:
    """The medium hand on every string of a harp but some: (string, interval, whether it is as the trade has it)."""
    for low in range(harp.lowest, harp.highest):
        for interval, fingers in TRADE.items():
            if low + interval - 1 <= harp.highest and low not in without:
                yield low, interval, chosen(MEDIUM, harp, low, interval) == fingers


def verdict(span: int, spread: Spread) -> str:
    """One letter for a pair: ``c`` cramped, ``.`` easy, ``s`` stretched, ``x`` out of reach."""
    if span > spread.greatest:
        return "x"
    return "s" if span > spread.easy else "c" if span < spread.cramped else "."


def table() -> str:
    """Every block as text, and the scores."""
    lines = [
        "How far apart the strings of an interval stand (mm), what each pair of fingers makes of it (c cramped,",
        ". easy, s stretched, x out of reach), what the search takes for the interval alone, and what the trade has.",
        "For small and large hands the trade says what may be, no more.",
        "",
        "Written by: python -m tests.harp.fit",
    ]
    for block in blocks():
        lines += ["", *_block(block)]
    for harp, without, status in ((PEDAL, FITTED, "outside C4 to C5: looked at"), (SMALL_PEDAL, range(0), ": unseen")):
        results = [agrees for _, _, agrees in everywhere(harp, without)]
        lines += ["", f"medium hand, {harp.name} harp, every string {status}".replace(" :", ":")]
        lines += [f"  {sum(results)} of {len(results)} intervals as the trade has them"]
    return "\n".join(lines) + "\n"


def _block(block: Block) -> Iterator[str]:
    rows = dict(block.rows)
    yield block.title
    yield _row("", list(NAMES.values()))
    yield _row("mm", [f"{block.span(interval) / 1000:.0f}" for interval in NAMES])
    for pair in PAIRS:
        spread = block.reach.spread(*pair)
        yield _row(f"{pair[0]}-{pair[1]}", [verdict(block.span(interval), spread) for interval in NAMES])
    yield _row("search", [block.chosen(interval) for interval in NAMES])
    yield _row("trade", [rows.get(interval, "") for interval in NAMES])
    yield f"  {len(block.agreed())} of {len(rows)} as the trade has them"


def _row(name: str, cells: list[str]) -> str:
    return f"  {name:<8}{''.join(f'{cell:>6}' for cell in cells)}".rstrip()


if __name__ == "__main__":
    from tests.harp.plot import plot

    TABLE.write_text(table(), encoding="utf-8")
    PLOT.write_text(plot(), encoding="utf-8")
