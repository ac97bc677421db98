"""Any music at all, by a seed: what it means is the typesetter's to say.

A :class:`Node` is a piece of source with holes for other music. Nothing here knows what its notes are; that is why it
may hold what no writer would work out by hand: voices within voices that share a context, ties into alternatives,
``q`` behind a transposition. (:mod:`tests.strategies` makes music of which every note is known.)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random

HOLE = "@"


@dataclass(frozen=True)
class Node:
    """``form`` has a ``@`` for each of ``parts``, which are stretches of music."""

    form: str
    parts: tuple[Stretch, ...] = ()

    def __str__(self) -> str:
        first, *rest = self.form.split(HOLE)
        return first + "".join(_text(part) + after for part, after in zip(self.parts, rest, strict=True))

    @property
    def size(self) -> int:
        return len(str(self))

    def smaller(self) -> Iterator[Node]:
        """This with one thing less somewhere in it."""
        for index, part in enumerate(self.parts):
            for shorter in _shorter(part):
                yield Node(self.form, (*self.parts[:index], shorter, *self.parts[index + 1 :]))
        if not self.parts:
            yield from (Node(form) for form in _plainer(self.form))


Stretch = tuple[Node, ...]


def _text(part: Stretch) -> str:
    return " ".join(map(str, part))


def _shorter(part: Stretch) -> Iterator[Stretch]:
    for index, node in enumerate(part):
        before, after = part[:index], part[index + 1 :]
        if len(part) > 1:  # empty voices are no music that anybody writes
            yield before + after
        for inner in node.parts:
            yield before + inner + after
        for less in node.smaller():
            yield (*before, less, *after)


def _plainer(form: str) -> Iterator[str]:
    for taken in ("~", "\\repeatTie", ".", "-1", "\\f"):
        if form.endswith(taken) or taken + " " in form:
            yield form[: form.rindex(taken)] + form[form.rindex(taken) + len(taken) :]
    if form.startswith("<"):
        words, behind = form[1:].split(">")
        yield from (word + behind for word in words.split() if "~" not in word)
        if len(words.split()) > 2:
            yield f"<{' '.join(words.split()[:2])}>{behind}"


PITCHES = ("c'", "c'", "d'", "e'", "g'", "fis'", "ges'", "c''", "e''")
NEAR = ("c", "c", "d", "e", "g", "fis", "ges", "c'", "e,")
LENGTHS = ("", "", "4", "4", "8", "8", "2", "4.", "16", "1")

TURNS = (
    "\\voiceOne", "\\voiceTwo", "\\voiceThree", "\\oneVoice", "\\tieDown", "\\tieNeutral", "\\stemUp",
    '\\change Staff = "LH"', '\\change Staff = "RH"', '\\change Staff = "RH"', "\\partial 4", "\\partial 8*3",
    "\\time 3/4", "\\time 6/8", "\\key d \\major", "\\clef treble", '\\bar "||"', "\\tempo 4 = 72", "\\breathe",
    "\\cadenzaOn", "\\cadenzaOff", "\\ottava 1",
    "\\resetRelativeOctave c'", "\\set Score.currentBarNumber = 7", "|", "\\mark 3",
)  # fmt: skip

AROUND = (
    ("{ @ }", 1),
    ("<< { @ } \\\\ { @ } >>", 9),
    ("<< { @ } \\\\ { @ } \\\\ { @ } >>", 1),
    ("<< { @ } { @ } >>", 4),
    ("<< { @ } \\new Voice { @ } >>", 3),
    ("<< \\new Voice { @ } \\new Voice { @ } >>", 1),
    ("\\new Voice { @ }", 2),
    ('\\context Voice = "1" { @ }', 1),
    ('\\context Voice = "x" { @ }', 1),
    ('<< \\context Voice = "x" { \\voiceOne @ } \\new Voice { \\voiceTwo @ } >> \\oneVoice', 1),
    ("\\context Voice { @ }", 1),
    ("\\voices 3,4 << { @ } \\\\ { @ } >>", 1),
    ("\\voices 2,1 << { @ } \\\\ { @ } >>", 1),
    ("\\tuplet 3/2 { @ }", 3),
    ("\\times 4/5 { @ }", 1),
    ("\\tuplet 3/2 4 { @ }", 1),
    ("\\scaleDurations 2/3 { @ }", 1),
    ("\\repeat volta 2 { @ }", 2),
    ("\\repeat volta 2 { @ } \\alternative { { @ } { @ } }", 3),
    ("\\repeat volta 3 { @ \\alternative { \\volta 1,2 { @ } \\volta 3 { @ } } }", 1),
    ("\\repeat segno 2 { @ }", 1),
    ("\\repeat unfold 2 { @ }", 3),
    ("\\repeat unfold 3 { @ } \\alternative { { @ } { @ } }", 2),
    ("\\repeat percent 3 { @ }", 1),
    ("\\repeat tremolo 4 { @ }", 1),
    ("\\unfoldRepeats { @ }", 1),
    ("\\transpose c d { @ }", 2),
    ("\\transpose c c, { @ }", 1),
    ("\\relative { @ }", 2),
    ("\\relative c'' { @ }", 2),
    ("\\absolute { @ }", 1),
    ("\\fixed c' { @ }", 1),
    ("\\tag #'a { @ }", 1),
    ("\\tag #'b { @ }", 1),
    ("\\keepWithTag #'a { @ }", 1),
    ("\\removeWithTag #'b { @ }", 1),
    ("\\grace { @ }", 2),
    ("\\acciaccatura { @ }", 1),
    ("\\appoggiatura { @ }", 1),
    ("\\afterGrace c'4~ { @ }", 1),
    ("\\afterGrace 1/2 e'2 { @ }", 1),
    ("\\chordRepeats { @ }", 1),
    ("\\mA", 2),
    ("\\mB", 2),
    ("\\partCombine { @ } { @ }", 1),
)
FORMS, WEIGHTS = zip(*AROUND, strict=True)

IN_GRACES = ("<< { @ } \\\\ { @ } >>", "<< { @ } { @ } >>", "\\tuplet 3/2 { @ } \\new Voice { @ }")

STAVES = '\\score { \\new PianoStaff << \\new Staff = "RH" %s \\new Staff = "LH" %s >> \\layout { } }'
SCORES = (
    "mA = { <c' e'>4 @ } mB = \\relative { <e' g>8 @ } " + STAVES % ("{ g'4 @ }", "{ \\clef bass @ }"),
    "mA = \\relative { <c' d>8 @ } mB = { d'4 @ } " + STAVES % ("\\relative c'' { <e g>8 @ }", "\\new Voice { @ }"),
    "mA = { <c' e'>4 @ } mB = { d'4 @ } " + STAVES % ("<< { <c' e'>8 @ } \\\\ { @ } >>", "{ s1 }"),
)


class Composer:
    """Music by chance; the same seed makes the same."""

    def __init__(self, seed: int) -> None:
        self.chance = Random(seed)

    def piece(self) -> Node:
        """A whole score with what it needs, on one line."""
        form = self.chance.choice(SCORES)
        variables = tuple(self.stretch(1, uses=False) for _ in range(2))
        return Node(form, (*variables, self.stretch(3), self.stretch(2)))

    def stretch(self, depth: int, uses: bool = True) -> Stretch:
        most = 2 + 2 * depth
        return tuple(self.node(depth, uses) for _ in range(self.chance.randint(1, most)))

    def node(self, depth: int, uses: bool = True) -> Node:
        chance = self.chance
        dice = chance.random()
        if depth and dice < 0.4:
            form = chance.choices(FORMS, WEIGHTS)[0]
            if not uses and form in ("\\mA", "\\mB"):
                form = "{ @ }"
            return Node(form, tuple(self.inside(form, depth, uses) for _ in range(form.count(HOLE))))
        if dice > 0.94:
            return Node(chance.choice(TURNS))
        return Node(self.sound())

    def inside(self, form: str, depth: int, uses: bool) -> Stretch:
        """What a form holds. A tremolo has one or two notes or chords. Graces in
        graces are left out: the typesetter loses its way in them, and may crash. So is what repeats an earlier note in
        graces: it takes the last of the graces themselves."""
        if "tremolo" in form:
            return tuple(Node(self.sound(repeats=False, rests=False)) for _ in range(self.chance.randint(1, 2)))
        if "race" not in form and "ppogg" not in form and "acciac" not in form:
            return self.stretch(depth - 1, uses)
        few: Stretch = tuple(Node(self.sound(repeats=False)) for _ in range(self.chance.randint(1, 3)))
        return (
            few if depth < 2 or self.chance.random() < 0.7 else (Node(self.chance.choice(IN_GRACES), (few, few[:1])),)
        )

    def sound(self, repeats: bool = True, rests: bool = True) -> str:
        """A note or chord; with ``repeats``, or ``q`` or a bare duration; with ``rests``, or a rest or spacer."""
        chance = self.chance
        length = chance.choice(LENGTHS)
        tie = chance.choice(("", "", "~"))
        kind = chance.random() if repeats else chance.choice((0.1, 0.5, 0.7, 0.88, 0.95) if rests else (0.1, 0.7))
        if kind < 0.6:
            return self.pitch() + length + tie + chance.choice(("", "", "", "", "\\repeatTie", "-1"))
        if kind < 0.8:
            heads = [self.pitch() + chance.choice(("", "", "", "~", "-2")) for _ in range(chance.randint(2, 3))]
            return f"<{' '.join(heads)}>{length}{tie}"
        if 0.8 <= kind < 0.83:
            return f"q{length}{tie}"
        if kind < 0.86:
            return (length or "8") + tie
        if kind < 0.92:
            return f"r{length}"
        if kind < 0.98:
            return f"s{length}{tie}"
        return "\\skip 8"

    def pitch(self) -> str:
        return self.chance.choice(PITCHES if self.chance.random() < 0.8 else NEAR)


def pieces(seed: int, many: int) -> Sequence[Node]:
    """So many pieces, each by a seed of its own that follows from the first."""
    return [Composer(seed * 1_000_003 + number).piece() for number in range(many)]
