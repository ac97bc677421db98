"""The syntax tree: what the grammar's rules build, before anything is played.

Positions are *global* offsets: a character offset plus the base of its file in :class:`.stream.Sources`, so that
one integer names a place in any of the files of a run. Durations are already carried over (a note without one
has that of the last note in reading order), pitches are as written.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any, Literal

ZERO, ONE = Fraction(0), Fraction(1)


class Node:
    """``start`` and ``end`` (behind the last character) are global offsets."""

    __slots__ = ("end", "start")

    def __init__(self, start: int, end: int) -> None:
        self.start = start
        self.end = end


class Post:
    """Something attached to an event: a script, a slur, a digit, text.

    ``kind`` is a name from the vocabulary (``fermata``, ``(``, ``~``), or one of ``digit``, ``finger``, ``text``,
    ``scheme``; ``value`` the digit's text, the markup's text or the variable's name; ``direction`` 1, -1 or 0.
    """

    __slots__ = ("direction", "end", "kind", "start", "value")

    def __init__(self, kind: str, start: int, end: int, value: str = "", direction: int = 0) -> None:
        self.kind = kind
        self.start = start
        self.end = end
        self.value = value
        self.direction = direction


class Event(Node):
    """Anything with a duration that posts attach to. ``scale`` is the factor in ``length`` that ``*`` gives."""

    __slots__ = ("length", "posts", "scale")

    def __init__(self, start: int, end: int, length: Fraction) -> None:
        self.start = start
        self.end = end
        self.length = length
        self.posts: list[Post] = []
        self.scale = ONE


class NoteEvent(Event):
    """A note outside a chord (``chord`` is -1), or in the chord that begins at ``chord``.

    ``octave`` counts the marks written (``''`` is 2) plus the octave that the name itself has; ``check`` the
    marks of an octave check, None without. ``rest`` marks a pitched rest. ``appendable`` is False where a digit
    would touch Scheme.
    """

    __slots__ = ("alter", "appendable", "check", "chord", "octave", "rest", "step", "tags")

    def __init__(
        self,
        start: int,
        end: int,
        length: Fraction,
        step: int = 0,
        alter: Fraction = ZERO,
        octave: int = 0,
        check: int | None = None,
    ) -> None:
        self.start = start
        self.end = end
        self.length = length
        self.posts: list[Post] = []
        self.scale = ONE
        self.step = step
        self.alter = alter
        self.octave = octave
        self.check = check
        self.rest = False
        self.chord = -1
        self.appendable = True
        self.tags: frozenset[str] = frozenset()


class ChordEvent(Event):
    __slots__ = ("appendable", "notes")

    def __init__(
        self,
        start: int,
        end: int,
        length: Fraction,
        notes: list[NoteEvent] | None = None,
        appendable: bool = True,
    ) -> None:
        self.start = start
        self.end = end
        self.length = length
        self.posts: list[Post] = []
        self.scale = ONE
        self.notes: list[NoteEvent] = [] if notes is None else notes
        self.appendable = appendable


class RestEvent(Event):
    """A rest, a rest of whole measures (``R``) or a spacer."""

    __slots__ = ("kind",)

    def __init__(self, start: int, end: int, length: Fraction, kind: Literal["r", "R", "s"] = "r") -> None:
        self.start = start
        self.end = end
        self.length = length
        self.posts: list[Post] = []
        self.scale = ONE
        self.kind = kind


class RepeatChordEvent(Event):
    """``q``."""

    __slots__ = ()


class BareDuration(Event):
    """A duration that repeats the note or chord before it."""

    __slots__ = ()


class Comment:
    """``% lyfinger: left``: ``hand`` is ``right``, ``left`` or None (``auto``)."""

    __slots__ = ("hand", "start")

    def __init__(self, start: int, hand: str | None) -> None:
        self.start = start
        self.hand = hand


class Sequential(Node):
    __slots__ = ("comments", "items")

    def __init__(self, start: int, end: int, items: list[Node], comments: list[Comment] | None = None) -> None:
        self.start = start
        self.end = end
        self.items = items
        self.comments: list[Comment] = [] if comments is None else comments


class Simultaneous(Node):
    r"""``<< … >>``; with ``\\`` inside, ``voices`` holds the parts between, else it is empty."""

    __slots__ = ("items", "voices")

    def __init__(self, start: int, end: int, items: list[Node], voices: list[list[Node]] | None = None) -> None:
        self.start = start
        self.end = end
        self.items = items
        self.voices: list[list[Node]] = [] if voices is None else voices


class Command(Node):
    """A command that takes no music: ``name`` without the backslash, ``arguments`` as read."""

    __slots__ = ("arguments", "name", "posts")

    def __init__(self, start: int, end: int, name: str, arguments: tuple[Any, ...] = ()) -> None:
        self.start = start
        self.end = end
        self.name = name
        self.arguments = arguments
        self.posts: list[Post] = []


class Applied(Node):
    """A command applied to music: ``bodies`` are one or two nodes, or posts where a post-event stands."""

    __slots__ = ("arguments", "bodies", "name", "posts")

    def __init__(self, start: int, end: int, name: str, arguments: tuple[Any, ...], bodies: list[Any]) -> None:
        self.start = start
        self.end = end
        self.name = name
        self.arguments = arguments
        self.bodies = bodies
        self.posts: list[Post] = []


class RepeatNode(Node):
    """``kind`` is volta, unfold, tremolo, percent or segno; ``count`` as written."""

    __slots__ = ("alternatives", "body", "count", "kind", "posts")

    def __init__(
        self, start: int, end: int, kind: str, count: int, body: Node, alternatives: Node | None = None
    ) -> None:
        self.start = start
        self.end = end
        self.kind = kind
        self.count = count
        self.body = body
        self.alternatives = alternatives
        self.posts: list[Post] = []


class VariableUse(Node):
    """A variable that holds music, bound where it was read (a later redefinition doesn't change it)."""

    __slots__ = ("music", "name", "posts")

    def __init__(self, start: int, end: int, name: str, music: Any) -> None:
        self.start = start
        self.end = end
        self.name = name
        self.music = music
        self.posts: list[Post] = []


class Opaque(Node):
    """A passage that can't be followed. ``reason`` is said to the user; ``silent`` ones have no notes of ours
    and no duration that matters (lyrics, figures, chord names). ``bodies`` are variables that it uses
    somehow. ``complete``: what follows isn't an argument of it. ``length`` (whole notes) is known of some."""

    __slots__ = ("bodies", "complete", "length", "posts", "reason", "silent")

    def __init__(
        self,
        start: int,
        end: int,
        reason: str,
        silent: bool = False,
        bodies: list[Node] | None = None,
        complete: bool = False,
        length: Fraction | None = None,
    ) -> None:
        self.start = start
        self.end = end
        self.reason = reason
        self.silent = silent
        self.posts: list[Post] = []
        self.bodies: list[Node] = [] if bodies is None else bodies
        self.complete = complete
        self.length = length


class Assignment(Node):
    """``name = value`` at top level; ``value`` is a node, a list of posts, or None for what isn't music."""

    __slots__ = ("name", "value")

    def __init__(self, start: int, end: int, name: str, value: Any) -> None:
        self.start = start
        self.end = end
        self.name = name
        self.value = value


class ScoreBlock(Node):
    r"""``\score { … }``; ``blocks`` are the names of the output blocks in it."""

    __slots__ = ("blocks", "items")

    def __init__(self, start: int, end: int, items: list[Node], blocks: list[str]) -> None:
        self.start = start
        self.end = end
        self.items = items
        self.blocks = blocks


class BookBlock(Node):
    __slots__ = ("statements",)

    def __init__(self, start: int, end: int, statements: list[Any]) -> None:
        self.start = start
        self.end = end
        self.statements = statements
