"""Music that another instrument plays from as well: what is put in for the harp is printed in its staff too."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from ..hands.model import Evidence, Hands
from ..score.model import Note, Score
from ..source.messages import Message, Severity
from ..source.text import Place


def doubled(scores: Sequence[Score], hands: Sequence[Hands], digits: Collection[Place]) -> Iterator[Message]:
    """A warning for each staff that is not the harp's in which new digits are printed all the same."""
    for score, own in zip(scores, hands, strict=True):
        found: dict[int, list[Note]] = {}
        for note, reason in zip(score.notes, own.reasons, strict=True):
            if reason.evidence is Evidence.NOT_HARP and note.source.place in digits:
                found.setdefault(note.staff, []).append(note)
        for staff, notes in sorted(found.items()):
            first = min(notes, key=lambda note: note.order)
            count = len({note.source.place for note in notes})
            what = "this digit is" if count == 1 else f"this digit and {count - 1} more are"
            text = (
                f"{what} printed in {score.staves[staff].label} too, which plays the same notes and is not the harp's"
            )
            yield Message(Severity.WARNING, first.source.place, text, "doubled", bar=score.bar_number(first))
