"""The score as read: source notes, their soundings, and what stands around them.

Two kinds of note are kept apart. A :class:`SourceNote` is a place in a file where one digit can stand. A
:class:`Note` is one *printed* sounding of it: a variable used twice, or an unfolded repeat, gives one source
note several soundings, and they share the digit.

Moments and durations are fractions of a whole note from the start of the score, in printed order (a volta
repeat is printed once). A moment is a pair: ``moment`` and ``grace`` (zero, or negative for notes in a grace
group before ``moment``), as the typesetter has it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from enum import Enum
from fractions import Fraction
from operator import attrgetter
from typing import NamedTuple

from ..source.messages import Message
from ..source.text import Place, SourceFile
from .grid import Grid
from .pitch import Pitch


class Unmarkable(Enum):
    """Why a source note can't take a digit of its own."""

    REPEATED_CHORD = "a chord repeated with q repeats pitches, not digits"
    BARE_DURATION = "a bare duration repeats a chord, not its digits"
    SCHEME_DURATION = "its duration ends in Scheme, and nothing may stand right behind that"
    NOT_PLUCKED = "it is not a plucked note of this part"


class LockedDigit(NamedTuple):
    """A fingering that stands in the source. ``text`` as written, ``finger`` 1–4 if it names one, else None.

    It takes the characters from ``place`` to ``end`` (offset), with what belongs to it alone: a direction, a tweak.
    ``behind_chord`` is True where it is one of those that stand behind a chord, as many as the chord has notes.
    ``glide`` is the offset of the ``\\glide`` that stands before it at its note, if one does.
    """

    place: Place
    text: str
    finger: int | None
    end: int
    behind_chord: bool = False
    glide: int | None = None


class SourceNote:
    """A note as it is written: where it stands, where its digit goes, and what digit it has already.

    ``place`` is the first character of the pitch; ``insert_at`` the character offset, in the same file, where
    a fingering is inserted. ``chord`` is the offset of the ``<`` of the chord that it stands in, else None.
    ``behind`` is the offset right behind the whole event, chord and duration included, where a text is inserted; None
    where nothing may stand. ``groups`` are the ``\\startGroup`` and ``\\stopGroup`` of that event, each from offset
    to offset.
    """

    __slots__ = ("behind", "chord", "groups", "insert_at", "locked", "place", "unmarkable")

    def __init__(self, place: Place, insert_at: int, chord: int | None = None) -> None:
        self.place = place
        self.insert_at = insert_at
        self.chord = chord
        self.locked: tuple[LockedDigit, ...] = ()
        self.unmarkable: Unmarkable | None = None
        self.behind: int | None = None
        self.groups: tuple[tuple[int, int], ...] = ()

    @property
    def finger(self) -> int | None:
        """The one locked finger, if the source has exactly one digit here that names a finger."""
        return self.locked[0].finger if len(self.locked) == 1 else None


class Note(NamedTuple):
    """One printed sounding of a source note.

    ``marks`` are the things attached to it that the rules want to know, by these names: ``accent``,
    ``marcato``, ``staccato``, ``tenuto``, ``fermata``, ``breath`` (a breath sign or caesura follows),
    ``arpeggio``, ``glissando``, ``flageolet``, ``laissezVibrer``, ``slurStart``, ``slurEnd``, ``phraseStart``,
    ``phraseEnd``, ``beamStart``, ``beamEnd``, ``trill``, ``tremolo``, ``muffled``, ``tieStart``.
    ``side`` is the direction that its voice has of its own (1 up, -1 down, 0 none). ``plucked`` is False for
    the note that a tie leads to. ``voice`` and ``staff`` are indices into the score's lists; ``staff`` is
    where the note is printed, ``home`` the staff that its voice was begun in. ``order`` is the place in
    source reading order within the score.
    """

    source: SourceNote
    moment: Fraction
    grace: Fraction
    duration: Fraction
    pitch: Pitch
    staff: int
    home: int
    voice: int
    plucked: bool
    side: int
    marks: frozenset[str]
    order: int


class Silence(NamedTuple):
    """A rest or a spacer (``spacer`` true) of one voice; ``marks`` as for notes (fermata, breath).

    ``behind`` is the offset right behind it, in the same file, where a text is inserted.
    """

    place: Place
    moment: Fraction
    grace: Fraction
    duration: Fraction
    staff: int
    voice: int
    spacer: bool
    marks: frozenset[str]
    behind: int = -1


class Text(NamedTuple):
    """A text or markup that stands at a note, a rest or a spacer.

    ``source`` is how it is written, direction included; where a variable stands for it, how that was written. ``staff``
    is the staff that it belongs to, or the nearest one of its group (a text among dynamics), else None.
    """

    place: Place
    source: str
    moment: Fraction
    grace: Fraction
    staff: int | None


class KeyChange(NamedTuple):
    """A key signature of a staff (None: of every staff) from a moment on: the alteration of each letter, C first."""

    moment: Fraction
    staff: int | None
    alterations: tuple[int, ...]


class HandWord(NamedTuple):
    """Text in the music that names a hand: markup (R.H., m.s.) or a comment (``% lyfinger: left``).

    ``hand`` is ``"right"``, ``"left"``, or None where a comment ends an earlier one. In force for notes of
    its voice from its moment on; ``comment`` tells the two kinds apart.
    """

    place: Place
    moment: Fraction
    voice: int
    hand: str | None
    comment: bool


class ClefChange(NamedTuple):
    """A clef (as written, e.g. ``treble``, ``bass_8``) at a moment."""

    moment: Fraction
    clef: str


class Staff:
    """A staff: its kind and id, its place in the score, and every name on the way to it.

    ``label`` is unique in the score and never empty (the id, else the kind and a number). ``group`` is the
    index of the innermost PianoStaff or GrandStaff, else None; ``row`` the place in that group (0 is the top).
    ``variables`` are the variables whose music was given to the staff. ``begins`` is the moment at which it is made,
    None where that is not known; ``aligned`` is True where it says itself that it stands above or below another.
    ``bars`` are those that it counts by itself; empty where it shares the score's.
    """

    __slots__ = (
        "aligned",
        "bars",
        "begins",
        "clefs",
        "group",
        "instrument",
        "kind",
        "label",
        "name",
        "place",
        "row",
        "variables",
    )

    def __init__(
        self,
        label: str,
        kind: str,
        name: str | None,
        place: Place,
        group: int | None,
        row: int,
        instrument: str | None = None,
        variables: tuple[str, ...] = (),
        begins: Fraction | None = None,
        aligned: bool = False,
    ) -> None:
        self.label = label
        self.kind = kind
        self.name = name
        self.place = place
        self.group = group
        self.row = row
        self.instrument = instrument
        self.variables = variables
        self.clefs: list[ClefChange] = []
        self.begins = begins
        self.aligned = aligned
        self.bars: list[Bar] = []


class Voice:
    """A voice: its id (``1``–``4`` for ``\\\\`` voices), the staff that it began in, the variables on the way."""

    __slots__ = ("label", "name", "staff", "variables")

    def __init__(self, label: str, name: str | None, staff: int, variables: tuple[str, ...] = ()) -> None:
        self.label = label
        self.name = name
        self.staff = staff
        self.variables = variables


class Tempo(NamedTuple):
    """A tempo mark. ``unit`` (whole-note fraction) and ``count`` (a minute; the mean of a range) are None
    where only a word stands."""

    place: Place
    moment: Fraction
    unit: Fraction | None
    count: Fraction | None  # type: ignore[assignment]  # what a tuple calls so, nobody asks of a tempo
    text: str | None


class Repeat(NamedTuple):
    """A volta or segno repeat in printed time: the body, how often, and the alternatives.

    Each alternative is ``(start, end, volte)``: the 1-based passes it is played in.
    """

    start: Fraction
    end: Fraction
    times: int
    alternatives: tuple[tuple[Fraction, Fraction, tuple[int, ...]], ...] = ()


class Bar(NamedTuple):
    """A measure: its printed number, where it starts, where in the measure that start lies, and the beat.

    ``still`` is True within a cadenza, where the position doesn't run with the music. ``length`` is that of the whole
    measure. ``grace`` is the grace part of its beginning where grace notes at ``start`` are still in the bar before.
    Two things tell where the typesetter counts otherwise than a player does: ``signature`` is the unit of its time
    signature where that is not the beat, ``overtaken`` the grace part of a ``\\partial`` at ``start`` and the position
    that is still shown in that time step.
    """

    number: int
    start: Fraction
    position: Fraction
    beat: Fraction
    still: bool = False
    length: Fraction = Fraction(1)
    signature: Fraction | None = None
    grace: Fraction | None = None
    overtaken: tuple[Fraction, Fraction] | None = None

    def position_at(self, moment: Fraction) -> Fraction:
        """The place in the measure of a moment in it."""
        return self.position if self.still else self.position + moment - self.start

    def beat_at(self, moment: Fraction) -> Fraction:
        """The beat of a moment in it as a player counts: 1-based and fractional, in units of ``beat``."""
        if self.still:
            return 1 + self.position / self.beat
        # 1 + (position + moment - start) / beat, as one fraction: every note asks, and fractions are slow
        position, position_unit = self.position.as_integer_ratio()
        start, start_unit = self.start.as_integer_ratio()
        now, unit = moment.as_integer_ratio()
        beat, beat_unit = self.beat.as_integer_ratio()
        common = position_unit * start_unit * unit
        passed = position * start_unit * unit + (now * start_unit - start * unit) * position_unit
        return Fraction(common * beat + passed * beat_unit, common * beat)

    def engraved_position_at(self, moment: Fraction, grace: Fraction) -> Fraction:
        """The place in the measure that the typesetter shows."""
        if self.overtaken is not None and (moment, grace) == (self.start, self.overtaken[0]):
            return self.overtaken[1]
        return self.position_at(moment)

    def engraved_beat(self, moment: Fraction, grace: Fraction) -> Fraction:
        """The beat as the typesetter counts, in units of its time signature."""
        return 1 + self.engraved_position_at(moment, grace) / (self.signature or self.beat)


_start = attrgetter("start")


class Score:
    """One score of a reading. ``printed`` is False where there is only ``\\midi``.

    ``loose`` is True for the score that stands for a file of bare variables: each variable is then a staff.
    Notes are in order of moment, then reading order. ``bars`` are empty where nothing counts bars; where staves count
    by themselves, they are those of the first that does. ``languages`` are the note languages of the whole reading.
    """

    def __init__(self, index: int, place: Place, printed: bool = True, loose: bool = False) -> None:
        self.index = index
        self.place = place
        self.printed = printed
        self.loose = loose
        self.notes: list[Note] = []
        self.silences: list[Silence] = []
        self.staves: list[Staff] = []
        self.voices: list[Voice] = []
        self.groups: list[str] = []
        self.hand_words: list[HandWord] = []
        self.tempos: list[Tempo] = []
        self.repeats: list[Repeat] = []
        self.bars: list[Bar] = []
        self.texts: list[Text] = []
        self.keys: list[KeyChange] = []
        self.languages: tuple[str, ...] = ()
        self._asked: tuple[list[Bar], int, tuple[int, int], tuple[int, int]] | None = None
        self._grid: Grid | None = None
        self._times: list[tuple[int, int]] | None = None

    @property
    def grid(self) -> Grid:
        """A grid for all that stands in the score: notes, silences, texts, bars and their beats, repeats. Made when it
        is first asked for; the score must be whole by then."""
        if self._grid is None:
            self._grid = Grid(self._moments())
        return self._grid

    @property
    def times(self) -> list[tuple[int, int]]:
        """When each note begins, on the grid: its moment and its grace part."""
        if self._times is None:
            at = self.grid.at
            self._times = [(at(note.moment), at(note.grace)) for note in self.notes]
        return self._times

    def _moments(self) -> Iterator[Fraction]:
        for note in self.notes:
            yield from (note.moment, note.grace, note.duration)
        for silence in self.silences:
            yield from (silence.moment, silence.grace, silence.duration)
        for text in self.texts:
            yield from (text.moment, text.grace)
        for bars in (self.bars, *(staff.bars for staff in self.staves)):
            for bar in bars:
                yield from (bar.start, bar.position, bar.beat)
        for repeat in self.repeats:
            yield from (repeat.start, repeat.end)
            yield from (edge for start, end, _ in repeat.alternatives for edge in (start, end))

    def bars_of(self, staff: int | None = None) -> list[Bar]:
        """The bars that a staff (an index) is printed in: its own count where it has one, else the score's."""
        return (self.staves[staff].bars if staff is not None else []) or self.bars

    def bar_at(self, moment: Fraction, staff: int | None = None, grace: Fraction = Fraction(0)) -> Bar:
        """The bar of a staff (or of the score) that a moment falls into."""
        bars = self.bars_of(staff)
        at = self._bar_index(bars, moment)
        while at > 0 and (first := bars[at].grace) is not None and bars[at].start == moment and grace < first:
            at -= 1
        return bars[max(at, 0)]

    def _bar_index(self, bars: list[Bar], moment: Fraction) -> int:
        """The last bar that begins at a moment or before it (-1: none). Who asks mostly asks in order of time, so the
        bar of the last question is tried first, its ends compared as whole numbers."""
        if self._asked is not None and self._asked[0] is bars:
            _, at, (start, start_unit), (end, end_unit) = self._asked
            now, unit = moment.as_integer_ratio()
            if start * unit <= now * start_unit and now * end_unit < end * unit:
                return at
        at = bisect_right(bars, moment, key=_start) - 1
        if 0 <= at < len(bars) - 1:
            self._asked = (bars, at, bars[at].start.as_integer_ratio(), bars[at + 1].start.as_integer_ratio())
        return at

    def beat_at(self, moment: Fraction, staff: int | None = None) -> Fraction:
        """The beat of a moment, 1-based and fractional, in units of the time signature's denominator."""
        return self.bar_at(moment, staff).beat_at(moment)

    def bar_of(self, note: Note) -> Bar:
        """The bar that a note is printed in."""
        return self.bar_at(note.moment, note.staff, note.grace)

    def bar_number(self, note: Note) -> int | None:
        """The printed number of the bar that a note stands in; None where nothing counts bars."""
        return self.bar_of(note).number if self.bars else None

    def beat_of(self, note: Note) -> Fraction:
        """The beat of a note, as :meth:`beat_at`."""
        return self.bar_of(note).beat_at(note.moment)


class Reading:
    """All that one root file led to: the files, the scores, and what could not be followed.

    ``files`` are in the order in which they were met, the root first; ``assets`` are other files that the
    music names (``\\epsfile``, ``\\image``), as ``(place, name)``. ``acceptances`` are the comments that accept a
    finding of the check (``% lyfinger: accept leap``), with their text.
    """

    def __init__(
        self,
        root: SourceFile,
        files: list[SourceFile],
        assets: list[tuple[Place, str]],
        includes: list[tuple[Place, str, SourceFile]],
        acceptances: list[tuple[Place, str]],
    ) -> None:
        self.root = root
        self.files = files
        self.scores: list[Score] = []
        self.assets = assets
        self.includes = includes
        self.messages: list[Message] = []
        self.acceptances = acceptances
