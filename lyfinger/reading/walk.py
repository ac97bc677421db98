"""The state of a walk through music, and what every part of the interpreter does with it.

A position is ``(moment, grace)`` in whole notes, or None where an opaque passage has made the moment unknown; a note
is then *unread*: it is warned of and never marked.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from typing import Any

from ..score.pitch import Pitch
from ..source.messages import Refused
from .collect import Collection, Size, Stamp
from .contexts import Context, ContextTree
from .notes import NoteBook, hand_in_text
from .pitches import Reference, Transposition
from .stream import Sources
from .syntax import ChordEvent, Event, Opaque, Post

ZERO = Fraction(0)
ONE = Fraction(1)
Position = tuple[Fraction, Fraction] | None
MAX_NOTES = 400_000
"""Printed notes in one score beyond which it is refused (unfolded repeats and variables can multiply)."""
FINEST = 2**64
"""The largest denominator of a moment: the typesetter counts in so many bits (from memory), and numbers that grow with
every note would take time without end."""
MAX_WALK = 1000
"""How deep music may be nested, variables counted."""
MAX_STEPS = 8_000_000
"""How many expressions are walked through in one score."""


class Unread:
    """A passage that was not followed: from the opaque thing to the last note that it made uncertain.

    ``names`` are the variables that it stands in, the outermost first.
    """

    __slots__ = ("end", "names", "notes", "reason", "start")

    def __init__(self, start: int, end: int, reason: str, names: tuple[str, ...] = ()) -> None:
        self.start = start
        self.end = end
        self.reason = reason
        self.notes = 0
        self.names = names


class TagFilter:
    """``\\keepWithTag`` or ``\\removeWithTag`` in force; ``depth`` counts the ``\\relative`` around it."""

    __slots__ = ("depth", "keep", "names")

    def __init__(self, keep: bool, names: frozenset[str], depth: int) -> None:
        self.keep = keep
        self.names = names
        self.depth = depth


class Walk(ABC):
    """One walk through the music of a score; ``collection`` and ``tree`` hold what it has found."""

    _walkers: dict[type, Callable[[Any, Position, Context], Position]]

    def __init__(self, sources: Sources, book: NoteBook, offset: int, tag_groups: dict[str, int]) -> None:
        self.sources = sources
        self.tag_groups = tag_groups
        self.book = book
        self.tree = ContextTree(offset)
        self.collection = Collection()
        self.unread: list[Unread] = []
        self.reference = Reference()
        self.transposition: Transposition | None = None
        self.factor = ONE
        self.unfolding: frozenset[str] = frozenset()
        self._grace = False
        self._dry = 0
        self._lead = ZERO
        self._lost: Unread | None = None
        self._filters: list[TagFilter] = []
        self._relative_depth = 0
        self._depth = 0
        self._steps = 0
        self._chord: tuple[ChordEvent, tuple[Pitch, ...], bool] | None = None
        self._last: tuple[Any, tuple[Pitch, ...], bool] | None = None
        self._latest: list[Any] = []
        self._unheard: Opaque | None = None
        """What was passed over last, and took time that nobody has counted yet."""
        self._alternatives: list[list[tuple[Fraction, Fraction, tuple[int, ...]]]] = []
        self._counts: list[int] = []
        self._kinds: list[str] = []
        self._written_out = False
        self._chord_outside: tuple[ChordEvent, tuple[Pitch, ...], bool] | None = None
        """The last chord before a ``\\chordRepeats``, which writes out only what is repeated from inside."""
        self._numbers: list[int] | None = None
        self._tail: tuple[Size, Size, Position] | None = None
        """What the latest sequence ended with after its last note: from and to which size of the collection, and where
        the sequence ended."""
        self._turns: list[int] = []

    def walk(self, node: Any, at: Position, here: Context) -> Position:
        """Plays a node at a position in a context; returns the position behind it.

        Raises Refused where the music is nested too deeply or never seems to end.
        """
        self._depth += 1
        self._steps += 1
        if self._depth > MAX_WALK or self._steps > MAX_STEPS:
            what = "is nested too deeply" if self._depth > MAX_WALK else "goes on for too long"
            raise Refused(f"the music {what} here", self.sources.place(getattr(node, "start", self.tree.root.offset)))
        self._lead = ZERO
        walker = self._walkers.get(type(node))
        try:
            if walker is not None:
                return walker(node, at, here)
            if isinstance(node, list):
                self._attach_late(node)
                return at
            return self._opaque(Opaque(node.start, node.end, "this is no music"), at, here)
        finally:
            self._depth -= 1

    @abstractmethod
    def _attach_late(self, posts: list[Post]) -> None:
        """Attaches posts to what sounded last."""

    def _played_length(self, length: Fraction) -> Fraction:
        """A written length, as tuplets around it leave it."""
        return length if self.factor is ONE else length * self.factor

    def _advance(self, at: Position, length: Fraction) -> Position:
        if at is None:
            return None
        if self._grace:
            return at[0], at[1] + length
        return _sum(*at[0].as_integer_ratio(), *length.as_integer_ratio()), ZERO

    def _silently(self, node: Any, at: Position, here: Context) -> Position:
        self._dry += 1
        try:
            return self.walk(node, at, here)
        finally:
            self._dry -= 1

    def _stamp(self, at: Position, what: str, value: Any, here: Context, offset: int) -> None:
        if at is None or self._dry:
            return
        context: Context | None = here
        if what == "word":
            context = self.tree.voice_of(here)
        elif what == "clef":
            context = self.tree.staff_of(here) if here.role != "other" else None
        self.collection.stamps.append(Stamp(at[0], at[1], what, value, context, offset))

    def _attach_words(self, posts: list[Post], at: Position, here: Context) -> None:
        for post in posts:
            if post.kind == "text" and not self._dry:
                self._stamp(at, "text", self.sources.written(post.start, post.end), here, post.start)
                hand = hand_in_text(post.value)
                if hand is not None:
                    self._stamp(at, "word", (hand, False), here, post.start)

    def _removing(self, tags: frozenset[str]) -> TagFilter | None:
        """The filter that takes music with these tags away, if one does. Keeping looks only at the tags that
        share a group with one that is kept (tags in no ``\\tagGroup`` share one)."""
        for item in self._filters:
            if not item.keep and tags & item.names:
                return item
            groups = {self.tag_groups.get(name) for name in item.names}
            rivals = {name for name in tags if self.tag_groups.get(name) in groups}
            if item.keep and rivals and not rivals & item.names:
                return item
        return None

    # ---- what can't be followed ----

    def _opaque(self, node: Opaque, at: Position, here: Context) -> Position:
        if node.silent or here.role == "other" or here.kind.startswith("Drum"):
            self._unheard = node
            return at
        if self._dry:
            return None
        self._lose(node.start, node.end, node.reason)
        lost = self._lost
        if self.reference.relative is not None:
            self.reference.lost = True
        for body in node.bodies:
            self.walk(body, None, here)
        self._lost = lost
        return None

    def _past_unheard(self, at: Position, here: Context) -> Position:
        """Where music goes on behind words, chord names or percussion that stand in a row with it."""
        node, self._unheard = self._unheard, None
        if node is None:
            return at
        if node.length is not None:
            return self._advance(at, node.length * self.factor)
        return self._opaque(Opaque(node.start, node.end, f"how long {node.reason} last is not counted"), at, here)

    def _lose(self, start: int, end: int, reason: str) -> None:
        self._lost = Unread(start, end, reason, names=tuple(self.tree.names))
        self.unread.append(self._lost)

    def _miss(self, event: Event, notes: int) -> None:
        lost = self._lost
        if lost is None:
            return
        within = lost.start <= event.start < lost.end
        onward = event.start >= lost.end and lost.names == tuple(self.tree.names)
        if onward and self.sources.place(event.start).file is self.sources.place(lost.start).file:
            lost.end = event.end
        elif not within:
            self._lose(event.start, event.end, lost.reason)
            lost = self.unread[-1]
        lost.notes += notes

    # ---- what follows the text, not the time ----

    def _remember(self) -> tuple[Any, ...]:
        return (self.reference.relative, self.reference.lost, self._chord, self._last)

    def _recall(self, memory: tuple[Any, ...]) -> None:
        self.reference.relative, self.reference.lost, self._chord, self._last = memory


def has_moved(before: Position, after: Position) -> bool:
    """Whether the moment is another one, or may be."""
    if before is None or after is None:
        return True
    return after is not before and after[0].as_integer_ratio() != before[0].as_integer_ratio()


@lru_cache(maxsize=1 << 16)
def _sum(above: int, below: int, more: int, parts: int) -> Fraction:
    """``above/below + more/parts``. The staves of a score, and the reading of the result, come by the same moments."""
    return Fraction(above * parts + more * below, below * parts)


def latest_of(ends: list[Position]) -> Position:
    """The position behind simultaneous music: the latest end, None if one of them is unknown."""
    known = [end for end in ends if end is not None]
    return max(known) if len(known) == len(ends) else None
