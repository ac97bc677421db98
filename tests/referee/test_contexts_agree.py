"""Notes stand in the same staves and voices as the typesetter has them in: one there is one here."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

import pytest

from lyfinger.reading.reader import read
from lyfinger.source.library import Library

from .events import played

FIXTURES = Path(__file__).resolve().parents[1] / "fixtures" / "reading"


@pytest.mark.parametrize(
    "name",
    [
        "names-of-contexts-in-their-own-staff",
        "ties-one-step-after-another",
        "ties-outside-chords-are-the-voices",
        "voices-that-nobody-asked-for",
    ],
)
def test_staves_and_voices_are_one_to_one(name: str) -> None:
    path = FIXTURES / f"{name}.ly"
    library = Library(directory=path.parent)
    scores = [score for score in read(library.root(str(path)), library).scores if score.printed and not score.loose]
    events = played(path)
    assert len(scores) == len(events)
    for mine, theirs in zip(scores, events, strict=True):
        places = defaultdict(list)
        for note in mine.notes:
            places[(*note.source.place.line_column, note.moment, note.grace)].append((note.staff, note.voice))
        staves, voices = set(), set()
        for played_note in theirs.notes:
            at = (played_note.line, played_note.column, played_note.moment, played_note.grace)
            for staff, voice in places[at]:
                staves.add((staff, played_note.staff.number))
                voices.add((voice, played_note.voice.number))
        for pairs in (staves, voices):
            assert len(pairs) == len({one for one, _ in pairs}) == len({other for _, other in pairs})
