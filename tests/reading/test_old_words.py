"""Commands under the names that they had since LilyPond 2.10 are read as those of today."""

from __future__ import annotations

import re

import pytest

from tests.referee.engraver import own_files
from tests.referee.vocabulary import RENAMED

from .heard import heard, reading_of, told

ALONE = ["compressFullBarRests", "expandFullBarRests", "fatText", "emptyText", "setHairpinCresc", "setTextDim"]
BEHIND_A_NOTE = ["sustainDown", "sustainUp", "sostenutoDown", "sostenutoUp"]


def test_every_old_name_is_one_of_the_typesetters_rules() -> None:
    """[P] ``convertrules.py`` of LilyPond 2.25.12, which brings old sources up to date."""
    rules = (own_files() / "python" / "convertrules.py").read_text("utf-8")
    both = {"compress": "compressFullBarRests", "expand": "expandFullBarRests"}
    assert "(compress|expand)FullBarRests" in rules
    for old in set(RENAMED) - set(both.values()):
        assert re.search(rf"(?<![A-Za-z]){old}(?![A-Za-z])", rules) or old.startswith("partcombine"), old


@pytest.mark.parametrize("word", ALONE)
def test_an_old_word_by_itself_takes_no_time(word: str) -> None:
    reading = reading_of(f"{{ c'4 \\{word} d' R1 \\{word} e'4 }}")
    assert (heard(reading), told(reading)) == ("c4@0 d4@1/4 e4@3/2", [])


@pytest.mark.parametrize("word", BEHIND_A_NOTE)
def test_an_old_word_behind_a_note_takes_no_time(word: str) -> None:
    reading = reading_of(f"{{ c'4\\{word} d'_\\{word} e' }}")
    assert (heard(reading), told(reading)) == ("c4@0 d4@1/4 e4@1/2", [])
