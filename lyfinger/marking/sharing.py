"""What several readings of a run found at one place is one source note."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..score.model import Reading, SourceNote
from ..source.text import Place


def share_source_notes(readings: Sequence[Reading]) -> None:
    """Let what several readings found at one place be one source note, so that it is decided as one."""
    if len(readings) < 2:
        return
    known: dict[object, SourceNote] = {}
    for reading in readings:
        found = _named(note.source for score in reading.scores for note in score.notes)
        shared = {source: known.setdefault(name, source) for source, name in found.items()}
        for score in reading.scores:
            score.notes[:] = [note._replace(source=shared[note.source]) for note in score.notes]


def _named(sources: Iterable[SourceNote]) -> dict[SourceNote, object]:
    """What each source note of a reading is called in every reading: its place, and, since the notes of a chord
    that ``q`` repeats share one, its rank there."""
    names: dict[SourceNote, object] = {}
    ranks: dict[Place, int] = {}
    for source in sources:
        if source not in names:
            rank = ranks[source.place] = ranks.get(source.place, -1) + 1
            names[source] = (source.place, rank, source.insert_at, source.unmarkable, source.locked)
    return names
