"""The proof before writing: nothing but digits was added, and read again the music is the same."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from ..score.model import Reading, Score, SourceNote
from ..source.edits import Edits, refuse_unless_insertions
from ..source.messages import Refused
from ..source.text import Place, SourceFile
from .digits import Digit, gathered


class Changed(NamedTuple):
    """A file with digits added; ``data`` are its new bytes."""

    file: SourceFile
    data: bytes
    digits: int


class Unchanged(NamedTuple):
    """A file that gets no digit."""

    file: SourceFile


Outcome = Changed | Unchanged


def outcomes(
    files: Iterable[SourceFile], edits: Mapping[SourceFile, Edits], digits: Iterable[Digit] = ()
) -> dict[SourceFile, Outcome]:
    """The new bytes of each file, proven to be the old ones and the insertions. Raises Refused if they are not.

    ``digits`` are those that went in, several at one offset among them.
    """
    stacked = (digit for digit in digits if digit.stack is not None)
    more = Counter(one.note.file for _, found in gathered(stacked) for one in found[1:])
    result: dict[SourceFile, Outcome] = {}
    for file in files:
        if file in edits:
            data = edits[file].apply()
            refuse_unless_insertions(edits[file], data)
            result[file] = Changed(file, data, len(edits[file].insertions) + more[file])
        else:
            result[file] = Unchanged(file)
    return result


class Again(NamedTuple):
    """A reading of the new bytes, and which new file stands for which old one."""

    reading: Reading
    files: Mapping[SourceFile, SourceFile]


def refuse_unless_same_music(
    before: Reading, again: Again, digits: Mapping[Place, Digit], edits: Mapping[SourceFile, Edits]
) -> None:
    """Raise Refused unless the new reading has the same notes, and just the wanted digits beside the locked ones."""
    movers = {file: item.mover() for file, item in edits.items()}
    refuse_unless_same_notes(
        before, again, movers, lambda source, now: _has_digits(source, now, digits.get(source.place))
    )


def refuse_unless_same_notes(
    before: Reading,
    again: Again,
    movers: Mapping[SourceFile, Callable[[int], int]],
    has_digits: Callable[[SourceNote, SourceNote], bool],
) -> None:
    """Raise Refused unless the new reading has the same notes, each with the digits that it should have.

    ``movers`` say where an offset of a changed file stands now; ``has_digits`` judges a source note and the same one
    read again.
    """
    leads = _way(again.files, movers)
    old, new = before.scores, again.reading.scores
    if len(old) != len(new) or len(before.messages) != len(again.reading.messages):
        raise Refused(f"internal error: {before.root.name} would not read the same; nothing is written")
    for score, other in zip(old, new, strict=True):
        if len(score.notes) != len(other.notes) or _names(score) != _names(other):
            raise Refused("internal error: notes would be lost or gained; nothing is written", score.place)
        for note, now in zip(score.notes, other.notes, strict=True):
            source, there = note.source, now.source  # their first field; equal moments are mostly the same objects
            if note[1:] != now[1:] or not leads(source.place, there.place) or not has_digits(source, there):
                raise Refused("internal error: this note would change; nothing is written", source.place)


def _names(score: Score) -> list[str]:
    return [*(staff.label for staff in score.staves), *(voice.label for voice in score.voices)]


def _has_digits(source: SourceNote, now: SourceNote, digit: Digit | None) -> bool:
    if digit is None:
        return [item.text for item in now.locked] == [item.text for item in source.locked]
    return not source.locked and now.finger == digit.finger


def _way(
    files: Mapping[SourceFile, SourceFile], movers: Mapping[SourceFile, Callable[[int], int]]
) -> Callable[[Place, Place], bool]:
    """A function that says whether a place of the old text stands at a place of the new one."""

    def leads(place: Place, there: Place) -> bool:
        file, offset = place
        mover = movers.get(file)
        return files[file] is there.file and there.offset == (mover(offset) if mover else offset)

    return leads
