"""A respelling in the source: note names in the file's own language, octave marks as its octaves are written.

Whether a note is absolute or relative, and to which, is not asked: the new source is read again, and where a note
sounds an octave off, its marks are mended, first note first, until everything sounds as before. What can't be mended so
is refused, and nothing is proposed that was not proven.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from ..reading.reader import read
from ..reading.vocabulary import pitch_names
from ..score.model import Note, Reading, SourceNote, Unmarkable
from ..score.pitch import Pitch, semitones
from ..source.library import Library
from ..source.messages import Refused
from ..source.text import Place, SourceFile, encode

_REPEATING = (Unmarkable.REPEATED_CHORD, Unmarkable.BARE_DURATION)
_MARKS = re.compile(r"[',]*")
_AFTER = re.compile(r"\s*[!?]*\s*=")


class Written(NamedTuple):
    """A note name with its octave marks, as it stands at a place; ``language`` is one that has the name."""

    place: Place
    name: str
    marks: str
    language: str


def written(note: Note, languages: Sequence[str]) -> Written | None:
    """The name of a note in the source; None where it is not written as it sounds (transposed, or no name at all), or
    has an octave check."""
    found = _written_at(note.source.place, languages, note.pitch)
    if found is None or note.source.unmarkable in _REPEATING:
        return None
    return None if _AFTER.match(_text(found.place), _end(found)) else found


def _text(place: Place) -> str:
    return place.file.text


def _end(one: Written) -> int:
    return one.place.offset + len(one.name) + len(one.marks)


def _written_at(place: Place, languages: Sequence[str], pitch: Pitch | None) -> Written | None:
    """The name there in one of the languages, the latest first; of a pitch's letter and alteration, if given."""
    word = re.compile(r"[^\W\d_]+(?:-(?:sharp|flat|natural)+)?").match(_text(place), place.offset)
    for language in reversed(languages):
        names = pitch_names(language)
        name = word[0] if word else ""
        if name in names and (pitch is None or names[name][1:] == (pitch.step, pitch.alter)):
            marks = _MARKS.match(_text(place), place.offset + len(name))
            return Written(place, name, marks[0] if marks else "", language)
    return None


def name_in(language: str, pitch: Pitch, like: Written) -> str | None:
    """The name of a letter and alteration: as the one that it stands for is formed, then one that the file uses
    elsewhere, then the language's shortest; None where it has none in the octave of the name that it stands for."""
    names = pitch_names(language)
    octave = names[like.name][0]
    fitting = [name for name, found in names.items() if found == (octave, pitch.step, pitch.alter)]
    if not fitting:
        return None
    used = set(re.findall(r"[^\W\d_]+(?:-[a-z]+)?", _text(like.place)))
    hyphen = "-" in like.name
    return min(fitting, key=lambda name: (("-" in name) != hyphen, name not in used, len(name), fitting.index(name)))


class _Edit:
    """A name that is written anew, and by how many octaves its marks change."""

    __slots__ = ("name", "octaves", "old")

    def __init__(self, old: Written, name: str, octaves: int = 0) -> None:
        self.old = old
        self.name = name
        self.octaves = octaves

    @property
    def text(self) -> str:
        count = self.old.marks.count("'") - self.old.marks.count(",") + self.octaves
        return self.name + ("'" * count if count > 0 else "," * -count)


def rewrite(
    readings: Sequence[Reading], library: Library, pitches: Mapping[SourceNote, Pitch]
) -> dict[SourceFile, bytes]:
    """The new bytes of each file that changes.

    Raises Refused where the respelling can't be written so that everything else stays as it is.
    """
    return _Rewriter(readings, library, pitches).run()


class _Rewriter:
    def __init__(self, readings: Sequence[Reading], library: Library, pitches: Mapping[SourceNote, Pitch]) -> None:
        self.readings, self.library, self.pitches = readings, library, pitches
        self.edits: dict[tuple[SourceFile, int], _Edit] = {}

    def run(self) -> dict[SourceFile, bytes]:
        for reading in self.readings:
            for score in reading.scores:
                for note in score.notes:
                    if note.source in self.pitches and note.source.unmarkable not in _REPEATING:
                        self._rename(note, score.languages)
        for _ in range(4 * len(self.edits) + 4):
            data = self._data()
            wrong = self._wrong(data)
            if wrong is None:
                return data
            self._mend(*wrong)
        raise Refused("the respelling does not come out at the same octaves; nothing is proposed")

    def _rename(self, note: Note, languages: Sequence[str]) -> None:
        old = written(note, languages)
        pitch = self.pitches[note.source]
        name = None if old is None else name_in(old.language, pitch, old)
        if old is None or name is None:
            raise Refused(f"{note.pitch.name} can't be written as {pitch.name} here", note.source.place)
        self.edits.setdefault((old.place.file, old.place.offset), _Edit(old, name, pitch.octave - note.pitch.octave))

    def _data(self) -> dict[SourceFile, bytes]:
        by_file: dict[SourceFile, list[_Edit]] = {}
        for edit in self.edits.values():
            by_file.setdefault(edit.old.place.file, []).append(edit)
        return {file: _applied(file, edits) for file, edits in by_file.items()}

    def _wrong(self, data: Mapping[SourceFile, bytes]) -> tuple[Note, int] | None:
        """The first note, in reading order, that sounds octaves off, and by how many. Raises Refused for worse."""
        twin, files = self.library.twin(data)
        for reading in self.readings:
            again = read(twin.reopen(files[reading.root]), twin)
            if [len(score.notes) for score in again.scores] != [len(score.notes) for score in reading.scores]:
                raise Refused(
                    "the respelled source would not read the same; nothing is proposed", Place(reading.root, 0)
                )
            for score, other in zip(reading.scores, again.scores, strict=True):
                pairs = sorted(zip(score.notes, other.notes, strict=True), key=lambda pair: pair[0].order)
                for note, now in pairs:
                    octaves = self._octaves_off(note, now)
                    if octaves:
                        return note, octaves
        return None

    def _octaves_off(self, note: Note, now: Note) -> int:
        same = (note.moment, note.grace, note.duration, note.voice, note.plucked) == (
            now.moment,
            now.grace,
            now.duration,
            now.voice,
            now.plucked,
        )
        distance = _height(now.pitch) - _height(note.pitch)
        if not same or distance % 12:
            raise Refused("the respelled source would sound otherwise; nothing is proposed", note.source.place)
        if not distance and now.pitch != self.pitches.get(note.source, note.pitch):
            raise Refused("another note would be respelled too; nothing is proposed", note.source.place)
        return int(distance // 12)

    def _mend(self, note: Note, octaves: int) -> None:
        key = (note.source.place.file, note.source.place.offset)
        if key not in self.edits:
            languages = self.readings[0].scores[0].languages
            old = _written_at(note.source.place, languages, None)
            if old is None or _AFTER.match(_text(old.place), _end(old)):
                raise Refused(
                    "the octave of this note depends on the respelled one; nothing is proposed", note.source.place
                )
            self.edits[key] = _Edit(old, old.name)
        self.edits[key].octaves -= octaves


def _height(pitch: Pitch) -> int:
    return int(semitones(pitch.octave, pitch.step, pitch.alter) * 2) // 2


def _applied(file: SourceFile, edits: Sequence[_Edit]) -> bytes:
    pieces: list[str] = []
    at = 0
    for edit in sorted(edits, key=lambda one: one.old.place.offset):
        pieces += (file.text[at : edit.old.place.offset], edit.text)
        at = _end(edit.old)
    return encode("".join([*pieces, file.text[at:]]))
