"""A fixed sample for every run of the tests: what the installed engraver itself brings, read and compared.

The files stay where they are (they are under the GNU GPL and FDL); nothing of them is kept in the tree.
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

from lyfinger.reading.reader import read
from lyfinger.source.library import Library
from lyfinger.source.messages import Refused
from tests.referee.engraver import own_files

from .__main__ import compare_all
from .gather import engraver_examples, gather
from .judge import Outcome
from .table import totals

HAS_MUSIC = re.compile(r"\\(?:score|relative|fixed|new|repeat|time|rhythm)\b|\b[a-g][',]*\d")
NAMES_OF_ITS_OWN = {"bagpipe.ly", "makam.ly", "persian.ly", "turkish-makam.ly"}
"""Files that define a note language in Scheme and then use it."""


def test_the_examples_of_the_engravers_functions_are_read_as_they_are_engraved(tmp_path: Path) -> None:
    """[P] The examples with music in the documentation strings of LilyPond 2.25.12, by its own events."""
    folder = engraver_examples(tmp_path)
    sources = [source for source in gather([folder], tmp_path) if HAS_MUSIC.search(source.path.read_text("utf-8"))]
    verdicts = compare_all(sources, tmp_path, jobs=2)
    outcomes = Counter(verdict.outcome for verdict in verdicts)
    assert outcomes == {Outcome.EXACT: 13, Outcome.UNRULED: 1}
    assert totals(verdicts)["notes agreed"] == totals(verdicts)["notes of the typesetter"] == 81


def test_the_engravers_own_files_are_read_or_refused_with_a_place() -> None:
    """Scheme upon Scheme: nothing crashes, and what can't be read at all says where."""
    refused = {}
    read_well = 0
    for path in sorted(own_files().glob("ly/*.ly")):
        library = Library(directory=path.parent)
        try:
            read(library.root(str(path)), library)
            read_well += 1
        except Refused as refusal:
            refused[path.name] = str(refusal)
    assert set(refused) == NAMES_OF_ITS_OWN
    assert all(re.match(rf"\S*{name}:\d+:\d+: error: there is no note language", refused[name]) for name in refused)
    assert read_well == 58
