"""A hundred damaged sources: no traceback, an exit status, the source and digits or one line, and an end.

More by hand: ``python -m tests.whole.fuzz 1000``.
"""

from __future__ import annotations

import pytest

from .command import lyfinger
from .fuzz import HOPELESS, SOURCES, trial


@pytest.mark.parametrize("seed", range(100))
def test_damaged_sources(seed: int) -> None:
    assert trial(seed).fault == ""


#: What trials by hand have found, cut down: a source, and what was wrong.
FOUND = {
    r"\new \partCombine { c } << e { } >>": "an internal error: a note in no staff",
    r'\v"" \new { <<{} \new Voice{\voiceTwo d}\\ >> }': "an internal error: a note in no staff",
}


@pytest.mark.parametrize("source", FOUND)
def test_what_was_found(source: str) -> None:
    result = lyfinger("mark", "-", "--stdin-filename", "test.ly", stdin=source.encode())
    assert result.status in (0, 2)
    assert "internal error" not in result.err, FOUND[source]


def test_enough_of_them_are_marked() -> None:
    """Damage that is always refused would test nothing."""
    outcomes = [trial(seed).status for seed in range(0, 100, 5)]
    assert 4 <= outcomes.count(0) <= len(outcomes) - 2


def test_there_is_something_to_damage() -> None:
    assert len(SOURCES) > 60
    assert HOPELESS < 60
