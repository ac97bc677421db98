"""The syntax tree: what the grammar's rules build, before anything is played.

Positions are *global* offsets: a character offset plus the base of its file in :class:`.stream.Sources`, so that
one integer names a place in any of the files of a run. Durations are already carried over (a note without one
has that of the last note in reading order), pitches are as written.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Literal


@dataclass(slots=True, eq=False)
class Node:
    """``start`` and ``end`` (behind the last character) are global offsets."""

    start: int
    end: int


@dataclass(slots=True, eq=False)
class Post:
    """Something attached to an event: a script, a slur, a digit, text.

    ``kind`` is a name from the vocabulary (``fermata``, ``(``, ``~``), or one of ``digit``, ``finger``, ``text``,
    ``scheme``; ``value`` the digit's text, the markup's text or the variable's name; ``direction`` 1, -1 or 0.
    """

    kind: str
    start: int
    end: int
    value: str = ""
    direction: int = 0


@dataclass(slots=True, eq=False)
class Event(Node):
    """Anything with a duration that posts attach to. ``scale`` is the factor in ``length`` that ``*`` gives."""

    length: Fraction
    posts: list[Post] = field(default_factory=list)
    scale: Fraction = field(default=Fraction(1), kw_only=True)


@dataclass(slots=True, eq=False)
class NoteEvent(Event):
    """A note outside a chord (``chord`` is -1), or in the chord that begins at ``chord``.

    ``octave`` counts the marks written (``''`` is 2) plus the octave that the name itself has; ``check`` the
    marks of an octave check, None without. ``rest`` marks a pitched rest. ``appendable`` is False where a digit
    would touch Scheme.
    """

    step: int = 0
    alter: Fraction = Fraction(0)
    octave: int = 0
    check: int | None = None
    rest: bool = False
    chord: int = -1
    appendable: bool = True
    tags: frozenset[str] = frozenset()


@dataclass(slots=True, eq=False)
class ChordEvent(Event):
    notes: list[NoteEvent] = field(default_factory=list)
    appendable: bool = True


@dataclass(slots=True, eq=False)
class RestEvent(Event):
    """A rest, a rest of whole measures (``R``) or a spacer."""

    kind: Literal["r", "R", "s"] = "r"


@dataclass(slots=True, eq=False)
class RepeatChordEvent(Event):
    """``q``."""


@dataclass(slots=True, eq=False)
class BareDuration(Event):
    """A duration that repeats the note or chord before it."""


@dataclass(slots=True, eq=False)
class Comment:
    """``% lyfinger: left``: ``hand`` is ``right``, ``left`` or None (``auto``)."""

    start: int
    hand: str | None


@dataclass(slots=True, eq=False)
class Sequential(Node):
    items: list[Node]
    comments: list[Comment] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class Simultaneous(Node):
    r"""``<< … >>``; with ``\\`` inside, ``voices`` holds the parts between, else it is empty."""

    items: list[Node]
    voices: list[list[Node]] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class Command(Node):
    """A command that takes no music: ``name`` without the backslash, ``arguments`` as read."""

    name: str
    arguments: tuple[Any, ...] = ()
    posts: list[Post] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class Applied(Node):
    """A command applied to music: ``bodies`` are one or two nodes, or posts where a post-event stands."""

    name: str
    arguments: tuple[Any, ...]
    bodies: list[Any]
    posts: list[Post] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class RepeatNode(Node):
    """``kind`` is volta, unfold, tremolo, percent or segno; ``count`` as written."""

    kind: str
    count: int
    body: Node
    alternatives: Node | None = None
    posts: list[Post] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class VariableUse(Node):
    """A variable that holds music, bound where it was read (a later redefinition doesn't change it)."""

    name: str
    music: Any
    posts: list[Post] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class Opaque(Node):
    """A passage that can't be followed. ``reason`` is said to the user; ``silent`` ones have no notes of ours
    and no duration that matters (lyrics, figures, chord names). ``bodies`` are variables that it uses
    somehow. ``complete``: what follows isn't an argument of it. ``length`` (whole notes) is known of some."""

    reason: str
    silent: bool = False
    posts: list[Post] = field(default_factory=list)
    bodies: list[Node] = field(default_factory=list)
    complete: bool = False
    length: Fraction | None = None


@dataclass(slots=True, eq=False)
class Assignment(Node):
    """``name = value`` at top level; ``value`` is a node, a list of posts, or None for what isn't music."""

    name: str
    value: Any


@dataclass(slots=True, eq=False)
class ScoreBlock(Node):
    r"""``\score { … }``; ``blocks`` are the names of the output blocks in it."""

    items: list[Node]
    blocks: list[str]


@dataclass(slots=True, eq=False)
class BookBlock(Node):
    statements: list[Any]
