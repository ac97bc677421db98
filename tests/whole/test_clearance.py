"""The samples as engraved: what digits lie over in each style, by number, with the reason for what is left.

The outlines are the typesetter's own; ``python -m tests.tools.clearance`` prints the whole table.
"""

from __future__ import annotations

import pytest

from tests.tools.clearance import counted

LANTERN, FERRY, STONES = "Parts/lantern-walk.ly", "Parts/ferry-harp.ly", "Teaching/stepping-stones.ly"
CLEAR = ("--chords", "behind", "--outside")

#: Sample, options, what digits lie over, and chords whose digits are no column.
PAGES = [
    # Nothing is put in but digits. The typesetter sets a tuplet number on its beam whatever stands there already.
    (LANTERN, (), {}, 0),
    (FERRY, (), {}, 0),
    (STONES, (), {"TupletNumber": 1}, 0),
    # What --outside and digits behind chords are for.
    (LANTERN, CLEAR, {}, 0),
    (FERRY, CLEAR, {}, 0),
    (STONES, CLEAR, {}, 0),
    # A digit left of its head stays beside it, so that a slur that begins there crosses it.
    (LANTERN, ("--chords", "left", "--outside"), {"Slur": 1}, 0),
    (FERRY, ("--chords", "left", "--outside"), {}, 0),
    # A beam from staff to staff, and the digits on it, are laid out after the brackets, which leave room for them.
    (LANTERN, (*CLEAR, "--brackets"), {}, 0),
    (FERRY, (*CLEAR, "--brackets"), {}, 0),
    (STONES, (*CLEAR, "--brackets"), {}, 0),
    (LANTERN, ("--brackets", "--density", "placings"), {}, 0),
]


@pytest.mark.parametrize(("name", "options", "over", "no_column"), PAGES)
def test_digits_are_clear(name: str, options: tuple[str, ...], over: dict[str, int], no_column: int) -> None:
    found = counted(name, options)
    assert found.digits > 500
    assert dict(found.over) == over
    assert found.no_column == no_column
