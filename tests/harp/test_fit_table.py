"""The fit of the hands: fitted rows come out, the others are reported, and table and plot are in step with the code.

Rows of the trade: [T]; [P] Learning the Harp, 10 Rules of Harp Fingering. Shifts of small and large hands: [T].
"""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

import pytest

from lyfinger.harp.hand import MEDIUM, PAIRS
from lyfinger.harp.profile import PEDAL
from tests.harp.fit import FITTED, PLOT, TABLE, TRADE, Block, blocks, chosen, everywhere, table, verdict
from tests.harp.plot import plot

WRITE_ANEW = "python -m tests.harp.fit"


@pytest.mark.parametrize("block", [block for block in blocks() if block.status == "fitted"], ids=lambda one: one.title)
def test_what_was_fitted_comes_out(block: Block) -> None:
    assert block.agreed() == [interval for interval, _ in block.rows]


def test_the_medium_hand_on_strings_that_were_not_fitted() -> None:
    """Every string of the concert harp outside the octave from C4, all intervals to the tenth: [T]; [P]."""
    others = list(everywhere(PEDAL, FITTED))
    assert len(others) > 300
    assert [(low, interval) for low, interval, agrees in others if not agrees] == []


def test_the_whole_table_for_whoever_runs_with_s() -> None:
    """``pytest -s tests/harp`` prints it: what was fitted, what was looked at, what was unseen, and every score."""
    text = table()
    print(text)
    assert {block.status for block in blocks()} == {"fitted", "looked at", "unseen"}
    assert all(block.title in text for block in blocks())


@pytest.mark.parametrize("interval", TRADE)
def test_the_trained_pair_is_within_reach_and_mostly_easy(interval: int) -> None:
    """In the register that was fitted the fingers of the trade are easy, but for an octave-wide stretch and more."""
    fingers = tuple(int(finger) for finger in reversed(chosen(MEDIUM, PEDAL, 28, interval).split()))
    spread = MEDIUM.spreads[PAIRS.index((fingers[0], fingers[1]))]
    mark = verdict(PEDAL.span(28, 28 + interval - 1), spread)
    assert mark == ("." if interval < 10 else "s") or (interval == 7 and mark == "c")


def test_a_larger_hand_never_finds_an_interval_wider() -> None:
    order = "c.sx"
    small, medium, large = (
        [block for block in blocks() if block.hand.name == name and block.harp is PEDAL]
        for name in ("small", "medium", "large")
    )
    for one, two, three in zip(small, medium, large, strict=True):
        for interval in TRADE:
            for pair in PAIRS:
                marks = [verdict(block.span(interval), block.reach.spread(*pair)) for block in (one, two, three)]
                assert [order.index(mark) for mark in marks] == sorted(map(order.index, marks), reverse=True)


def test_the_table_is_in_step() -> None:
    assert TABLE.read_text(encoding="utf-8") == table(), WRITE_ANEW


def test_the_plot_is_in_step_and_is_svg() -> None:
    assert PLOT.read_text(encoding="utf-8") == plot(), WRITE_ANEW
    root = ElementTree.fromstring(plot())
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert len(root.findall("{*}polyline")) == 3 * 3 * len(PAIRS)
