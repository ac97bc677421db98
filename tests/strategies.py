r"""Music by chance, for hypothesis: what is written, and beside it what must be read in it.

A :class:`Piece` has its source as words (between any two of which there may be blanks or a comment) and the notes that
it makes, worked out while it is written, without anything of lyfinger.

What the words mean is LilyPond's Notation Reference: 1.1.1 Writing pitches (relative and absolute octaves, names in
other languages), 1.2.1 Writing rhythms (durations, tuplets), 1.2.6 Special rhythmic concerns (grace notes), 1.4
Repeats, 1.5.2 Multiple voices (``\\voices``, too), 1.7.1 Fingering instructions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from hypothesis import strategies as st

FLATS_AND_SHARPS = {
    "nederlands": (("c", "d", "e", "f", "g", "a", "b"), "es", "is"),
    "english": (("c", "d", "e", "f", "g", "a", "b"), "f", "s"),
    "italiano": (("do", "re", "mi", "fa", "sol", "la", "si"), "b", "d"),
    "deutsch": (("c", "d", "e", "f", "g", "a", "h"), "es", "is"),
}
IRREGULAR = {("deutsch", 6, -1): "b", ("deutsch", 2, -1): "es", ("deutsch", 5, -1): "as"}
LETTERS = "CDEFGAB"


class Pitch(NamedTuple):
    """Letter 0 to 6 from C, alteration in half steps, octave (4 begins with middle C)."""

    letter: int
    alter: int
    octave: int

    @property
    def place(self) -> int:
        """Letters counted from C0."""
        return self.octave * 7 + self.letter


class Written(NamedTuple):
    """A note that must be read: staff, pitch, moment and grace moment, length, whether a tie leads to it, digit."""

    staff: str
    letter: str
    alter: int
    octave: int
    moment: Fraction
    grace: Fraction
    length: Fraction
    tied: bool
    finger: int | None


# ---- what a voice is made of ----


@dataclass(frozen=True)
class Sound:
    """A note or a chord, with a digit or none for each pitch; ``ties`` more of it hang on it by ties."""

    pitches: tuple[Pitch, ...]
    digits: tuple[str, ...]
    log: int
    dots: int
    ties: int
    terse: bool
    graces: tuple[Pitch, ...]


@dataclass(frozen=True)
class Rest:
    log: int
    kind: str


@dataclass(frozen=True)
class Tuplet:
    above: int
    below: int
    inside: tuple[Sound, ...]


@dataclass(frozen=True)
class Repeat:
    kind: str
    count: int
    inside: tuple[Node, ...]


@dataclass(frozen=True)
class Voices:
    first: tuple[Node, ...]
    second: tuple[Node, ...]


@dataclass(frozen=True)
class Use:
    """A variable; ``number`` says which."""

    number: int


Node = Sound | Rest | Tuplet | Repeat | Voices | Use


@dataclass(frozen=True)
class Piece:
    """A source as words, the notes in it, and whether any digit stands there."""

    words: tuple[str, ...]
    notes: tuple[Written, ...]
    locked: bool

    def source(self, gaps: Sequence[str] = (" ",)) -> str:
        """The source, with ``gaps`` in turn between its words."""
        return "".join(word + gaps[index % len(gaps)] for index, word in enumerate(self.words)) + "\n"


# ---- writing ----


@dataclass
class _Hand:
    """Writes one stretch of music: what it has written, and the notes as they sound from moment 0 on."""

    language: str
    relative: bool
    variables: Sequence[tuple[list[Written], Fraction]]
    reference: Pitch
    words: list[str] = field(default_factory=list)
    last: tuple[int, int] | None = None
    scale: Fraction = Fraction(1)
    around: int = 0
    """How many ``<< >>`` stand around what is written."""
    within: int = 2
    """The highest number of a voice so far. Voices within voices have numbers that no others have: ties lead on in one
    voice, and by the same numbers it would be shared (``tests/wild`` has those)."""

    def write(self, nodes: Sequence[Node], at: Fraction) -> tuple[list[Written], Fraction]:
        """Write nodes; the notes, and the moment when they have ended."""
        notes: list[Written] = []
        for node in nodes:
            found, at = self._one(node, at)
            notes += found
        return notes, at

    def _one(self, node: Node, at: Fraction) -> tuple[list[Written], Fraction]:
        match node:
            case Sound():
                return self._sound(node, at)
            case Rest():
                self.words.append(node.kind + self._duration(node.log, 0, terse=False))
                return [], at + self._length(node.log, 0)
            case Tuplet():
                return self._tuplet(node, at)
            case Repeat():
                return self._repeat(node, at)
            case Voices():
                return self._voices(node, at)
            case Use():
                self.words.append(f"\\motif{'AB'[node.number]}")
                notes, length = self.variables[node.number]
                return [note._replace(moment=at + note.moment) for note in notes], at + length

    def _sound(self, node: Sound, at: Fraction) -> tuple[list[Written], Fraction]:
        notes = self._graces(node.graces, at)
        for turn in range(node.ties + 1):
            digits = node.digits if turn == 0 else ("",) * len(node.pitches)
            length = self._length(node.log, node.dots)
            self._heads(node, digits, last=turn == node.ties)
            for pitch, digit in zip(node.pitches, digits, strict=True):
                finger = int(digit[-1]) if digit else None
                notes.append(_written(pitch, at, Fraction(0), length, turn > 0, finger))
            at += length
        return notes, at

    def _heads(self, node: Sound, digits: Sequence[str], last: bool) -> None:
        tie = "" if last else "~"
        if len(node.pitches) == 1:
            self.words.append(
                self._pitch(node.pitches[0]) + self._duration(node.log, node.dots, node.terse) + digits[0] + tie
            )
            return
        outer = self.reference
        heads = []
        for index, (pitch, digit) in enumerate(zip(node.pitches, digits, strict=True)):
            heads.append(self._pitch(pitch) + digit)
            outer = self.reference if index == 0 else outer
        self.reference = outer
        self.words += [
            "<" + heads[0],
            *heads[1:-1],
            heads[-1] + ">" + self._duration(node.log, node.dots, node.terse) + tie,
        ]

    def _graces(self, pitches: Sequence[Pitch], at: Fraction) -> list[Written]:
        if not pitches:
            return []
        self.words += ["\\grace", "{"]
        notes = []
        length = self._length(16, 0)
        for index, pitch in enumerate(pitches):
            self.words.append(self._pitch(pitch) + self._duration(16, 0, terse=index > 0))
            notes.append(_written(pitch, at, (index - len(pitches)) * length, length, False, None))
        self.words.append("}")
        return notes

    def _tuplet(self, node: Tuplet, at: Fraction) -> tuple[list[Written], Fraction]:
        self.words += ["\\tuplet", f"{node.above}/{node.below}", "{"]
        before = self.scale
        self.scale *= Fraction(node.below, node.above)
        notes, at = self.write(node.inside, at)
        self.scale = before
        self.words.append("}")
        return notes, at

    def _repeat(self, node: Repeat, at: Fraction) -> tuple[list[Written], Fraction]:
        self.words += ["\\repeat", node.kind, str(node.count), "{"]
        notes, end = self.write(node.inside, at)
        self.words.append("}")
        times = node.count if node.kind == "unfold" else 1
        length = end - at
        again = [note._replace(moment=note.moment + turn * length) for turn in range(times) for note in notes]
        return again, at + times * length

    def _voices(self, node: Voices, at: Fraction) -> tuple[list[Written], Fraction]:
        if self.around:
            self.within += 2
            self.words += ["\\voices", f"{self.within - 1},{self.within}"]
        self.around += 1
        self.words += ["<<", "{"]
        first, end = self.write(node.first, at)
        self.words += ["}", "\\\\", "{"]
        self.last = None
        second, other = self.write(node.second, at)
        self.words += ["}", ">>"]
        self.around -= 1
        self.last = None
        return [*first, *second], max(end, other)

    def _length(self, log: int, dots: int) -> Fraction:
        return Fraction(2 * 2**dots - 1, 2**dots * log) * self.scale

    def _duration(self, log: int, dots: int, terse: bool) -> str:
        if terse and self.last == (log, dots):
            return ""
        self.last = (log, dots)
        return str(log) + "." * dots

    def _pitch(self, pitch: Pitch) -> str:
        name = note_name(self.language, pitch)
        if not self.relative:
            return name + _octaves(pitch.octave - 3)
        nearest = self.reference.place + (pitch.letter - self.reference.letter + 3) % 7 - 3
        self.reference = pitch
        return name + _octaves((pitch.place - nearest) // 7)


def note_name(language: str, pitch: Pitch) -> str:
    """The name of a pitch without octave marks."""
    names, flat, sharp = FLATS_AND_SHARPS[language]
    regular = names[pitch.letter] + {-1: flat, 0: "", 1: sharp}[pitch.alter]
    return IRREGULAR.get((language, pitch.letter, pitch.alter), regular)


def _octaves(count: int) -> str:
    return "'" * count if count > 0 else "," * -count


def _written(pitch: Pitch, at: Fraction, grace: Fraction, length: Fraction, tied: bool, finger: int | None) -> Written:
    return Written("", LETTERS[pitch.letter], pitch.alter, pitch.octave, at, grace, length, tied, finger)


# ---- by chance ----

DIGITS = ("-{}", "^{}", "_{}", "\\finger {}", "-\\tweak color #red -{}")


def pitches(octaves: tuple[int, int]) -> st.SearchStrategy[Pitch]:
    return st.builds(Pitch, st.integers(0, 6), st.sampled_from((0, 0, 0, -1, 1)), st.integers(*octaves))


@st.composite
def sounds(draw: st.DrawFn, octaves: tuple[int, int], locks: bool, plain: bool = False) -> Sound:
    """Notes and chords of up to four different strings, upwards; ``plain``: without ties and graces."""
    chord = draw(st.lists(pitches(octaves), min_size=1, max_size=4, unique_by=lambda pitch: pitch.place))
    chord = sorted(chord[: draw(st.sampled_from((1, 1, 1, 2, 3, 4)))], key=lambda pitch: pitch.place)
    styles = st.builds(str.format, st.sampled_from(DIGITS), st.integers(1, 4))
    digit = st.one_of(st.just(""), st.just(""), styles) if locks else st.just("")
    return Sound(
        tuple(chord),
        tuple(draw(digit) for _ in chord),
        draw(st.sampled_from((2, 4, 4, 8, 8, 16))),
        0 if plain else draw(st.sampled_from((0, 0, 0, 1))),
        0 if plain else draw(st.sampled_from((0, 0, 0, 0, 1, 2))),
        draw(st.booleans()),
        ()
        if plain
        else tuple(draw(st.sampled_from(((), (), (), tuple(draw(st.lists(pitches(octaves), max_size=2))))))),
    )


@st.composite
def sequences(
    draw: st.DrawFn, octaves: tuple[int, int], locks: bool, depth: int = 2, uses: bool = True, voices: int = 2
) -> tuple[Node, ...]:
    """A stretch of music, never empty; ``voices``: how deep ``<< >>`` may stand in one another."""
    some: list[st.SearchStrategy[Node]] = [
        sounds(octaves, locks),
        sounds(octaves, locks),
        sounds(octaves, locks),
        st.builds(Rest, st.sampled_from((2, 4, 8)), st.sampled_from("rs")),
        st.builds(
            Tuplet, st.sampled_from((3, 5, 6)), st.sampled_from((2, 4)),
            st.lists(sounds(octaves, locks, plain=True), min_size=1, max_size=4).map(tuple),
        ),
    ]  # fmt: skip
    if uses:
        some.append(st.builds(Use, st.integers(0, 1)))
    if depth:
        inner = sequences(octaves, locks, depth - 1, uses, voices)
        apart = sequences(octaves, locks, depth - 1, uses=False, voices=voices - 1)
        some.append(st.builds(Repeat, st.sampled_from(("unfold", "volta")), st.integers(1, 3), inner))
        if voices:
            some.append(st.builds(Voices, apart, apart))
    return tuple(draw(st.lists(st.one_of(some), min_size=1, max_size=5 if depth == 2 else 3)))


@st.composite
def pieces(draw: st.DrawFn, locks: bool = True) -> Piece:
    """Two hands on a PianoStaff, in one of four languages, with two variables that both may use."""
    language = draw(st.sampled_from(list(FLATS_AND_SHARPS)))
    words = ["\\version", '"2.24.0"', "\\language", f'"{language}"']
    variables: list[tuple[list[Written], Fraction]] = []
    for name in ("motifA", "motifB"):
        nodes = draw(sequences((3, 4), locks, depth=1, uses=False))
        written, notes, length = _stretch(draw, nodes, language, None)
        words += [name, "=", *written]
        variables.append((notes, length))
    notes = []
    for name, staff, octaves in (("right", "RH", (4, 5)), ("left", "LH", (2, 3))):
        written, found, _ = _stretch(draw, draw(sequences(octaves, locks)), language, variables)
        words += [name, "=", *written]
        notes += [note._replace(staff=staff) for note in found]
    words += ["\\score", "{", "\\new", "PianoStaff", "<<", "\\new", "Staff", "=", '"RH"', "\\right"]
    words += ["\\new", "Staff", "=", '"LH"', "{", "\\clef", "bass", "\\left", "}", ">>", "\\layout", "{", "}", "}"]
    return Piece(tuple(words), tuple(notes), any(note.finger for note in notes))


def _stretch(
    draw: st.DrawFn, nodes: Sequence[Node], language: str, variables: Sequence[tuple[list[Written], Fraction]] | None
) -> tuple[list[str], list[Written], Fraction]:
    r"""Music in ``\relative`` or not: its words, its notes from moment 0 on, its length. Without variables it is one
    itself, and then the octaves of whoever uses it are kept away by ``\absolute``."""
    relative = draw(st.booleans())
    hand = _Hand(language, relative, variables or [], Pitch(0, 0, draw(st.integers(2, 5))))
    if relative:
        hand.words += ["\\relative", note_name(language, hand.reference) + _octaves(hand.reference.octave - 3)]
    elif variables is None:
        hand.words.append("\\absolute")
    hand.words.append("{")
    notes, length = hand.write(nodes, Fraction(0))
    hand.words.append("}")
    return hand.words, notes, length


#: What may stand between two words without a meaning.
gaps = st.lists(
    st.sampled_from(
        (" ", "\n", "\t", "  ", "\r\n", " %{ c'4^1 } %} ", " % d'4-2 { \n", "\n\n", "\f", " \n% lyfinger\n")
    ),
    min_size=1,
    max_size=7,
)
