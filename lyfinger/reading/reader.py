"""Reads a root file and all that it includes into scores."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from ..score.bars import MOST_BARS, TooManyBars
from ..score.model import Reading, Score
from ..source.library import Library
from ..source.messages import Message, Refused, Severity
from ..source.text import SourceFile
from .adapter import Adapter
from .assemble import assemble
from .environment import Environment
from .interpreter import Interpreter
from .layouts import Layout
from .notes import NoteBook
from .parser import NOT_UNDERSTOOD, parse
from .stream import Sources
from .syntax import (
    Applied,
    Assignment,
    BookBlock,
    Command,
    Event,
    Node,
    Opaque,
    RepeatNode,
    ScoreBlock,
    Sequential,
    Simultaneous,
    VariableUse,
)
from .walk import Unread

RECURSION = 20_000
"""Python frames allowed while reading: each bracket of the music takes a few."""


def read(root: SourceFile, library: Library, *, strict: bool = False) -> Reading:
    """The scores of ``root``. A file of bare variables gives one ``loose`` score.

    Raises :class:`Refused` for text that has no reading at all (unbalanced brackets, a missing include), and with
    ``strict`` for any passage that can't be followed.
    """
    sources = Sources()
    adapter = Adapter(sources, root, library)
    limit = sys.getrecursionlimit()
    sys.setrecursionlimit(max(limit, RECURSION))
    try:
        tokens = adapter.run()
        environment = Environment(comments=list(sources.comments))
        statements = parse(tokens, environment)
        shown = (_length_of(environment, "showFirstLength"), _length_of(environment, "showLastLength"))
        return _Reader(adapter, root, shown, strict=strict).read(statements, environment.given_up)
    finally:
        sys.setrecursionlimit(limit)


class _Reader:
    """From statements to scores. ``shown`` are the lengths of the beginning and the end that alone are printed, where
    the source sets them."""

    def __init__(
        self, adapter: Adapter, root: SourceFile, shown: tuple[Fraction | None, Fraction | None], *, strict: bool
    ) -> None:
        self.adapter = adapter
        self.sources = adapter.sources
        self.shown = shown
        self.strict = strict
        self.common_layouts = adapter.layouts
        self.book = NoteBook(self.sources)
        self.reading = Reading(
            root,
            files=self.sources.files,
            assets=self.sources.pictures(),
            includes=adapter.includes,
            acceptances=self.sources.acceptances,
        )

    def read(self, statements: list[Any], given_up: list[tuple[int, int]]) -> Reading:
        """The reading of the statements; ``given_up`` are stretches that the parser found no reading for."""
        for start, end, reason in self.adapter.passed_over:
            self._unread(Unread(start, end, reason))
        self._quoted(statements)
        for item in _swallowed(statements):
            self._unread(Unread(item.start, item.end, item.reason))
        blocks = _score_blocks(statements)
        self.common_layouts = [
            layout
            for layout in self.adapter.layouts
            if not any(block.start <= layout.start < block.end for block in blocks)
        ]
        for block in blocks:
            self._score(block)
        if not self.reading.scores:
            self._loose(statements)
        for start, end in given_up:
            self._unread_once(start, end)
        self.reading.messages.extend(self.book.messages)
        return self.reading

    def _quoted(self, statements: list[Any]) -> None:
        """Music given to ``\\addQuote`` is printed again elsewhere by ``\\quoteDuring``, and not read there."""
        kept = [item for item in statements if isinstance(item, Applied) and _is_quote(item)]
        quoted = {name for item in statements for name in _quotes_used(item)} if kept else ()
        for item in kept:
            name = item.arguments[1]
            if name in quoted:
                for node in _with_variables(item.bodies[0]):
                    self._unread(Unread(node.start, node.end, f'"{name}" is quoted elsewhere, and not read there'))

    def _score(self, block: ScoreBlock) -> None:
        printed = "layout" in block.blocks or "midi" not in block.blocks
        score = Score(len(self.reading.scores), self.sources.place(block.start), printed)
        walker = Interpreter(self.sources, self.book, block.start, self.adapter.tag_groups)
        walker.tree.lay_out(self._layouts_for(block))
        for item in _music_of(block):
            walker.play(item)
        if self.shown != (None, None):
            walker.show_ends(*self.shown)
        self._finish(score, walker)

    def _layouts_for(self, block: ScoreBlock) -> list[Layout]:
        """The layouts in a score and those of all scores; if it has its own, these are only the ones before it."""
        own = [layout for layout in self.adapter.layouts if block.start <= layout.start < block.end]
        return [layout for layout in self.common_layouts if not own or layout.start < block.start] + own

    def _loose(self, statements: list[Any]) -> None:
        """One score of a file without any: each variable that no other uses is a staff of it."""
        music = {
            item.name: item for item in statements if isinstance(item, Assignment) and isinstance(item.value, Node)
        }
        used = {name for item in music.values() for name in _names_used(item.value)}
        walker: Interpreter | None = None
        for name, item in music.items():
            if name in used:
                continue
            if walker is None:
                walker = Interpreter(self.sources, self.book, item.start, self.adapter.tag_groups)
                walker.tree.lay_out(self.adapter.layouts)
            walker.tree.names[:] = [name]
            walker.play(Applied(item.start, item.end, "context", ("Staff", None, True, {}), [item.value]))
        if walker is None:
            return
        score = Score(0, self.sources.place(next(iter(music.values())).start), loose=True)
        self._finish(score, walker)

    def _finish(self, score: Score, walker: Interpreter) -> None:
        try:
            assemble(score, walker.tree, walker.collection, self.sources)
        except TooManyBars:
            raise Refused(f"this score has more than {MOST_BARS} bars", score.place) from None
        walker.close()
        if score.loose and not score.notes:
            return
        self.reading.scores.append(score)
        for passage in walker.unread:
            self._unread(passage)

    def _unread_once(self, start: int, end: int) -> None:
        """Warns of a stretch unless a warning names a passage around it already."""
        place, last = self.sources.place(start), self.sources.place(max(start, end - 1))
        for message in self.reading.messages:
            if message.end is None or not message.place.file is place.file is last.file:
                continue
            if message.place.offset <= place.offset and last.offset <= message.end.offset:
                return
        self._unread(Unread(start, end, NOT_UNDERSTOOD))

    def _unread(self, passage: Unread) -> None:
        place, end = self.sources.place(passage.start), self.sources.place(max(passage.start, passage.end - 1))
        line, column = end.line_column
        many = "1 note" if passage.notes == 1 else f"{passage.notes} notes"
        notes = f", {many}" if passage.notes else ""
        text = f"{passage.reason}: nothing is marked from here to {line}:{column}{notes}"
        if self.strict:
            raise Refused(text, place)
        message = Message(Severity.WARNING, place, text, "passage-not-followed", end)
        if message not in self.reading.messages:
            self.reading.messages.append(message)


def _length_of(environment: Environment, name: str) -> Fraction | None:
    """The length of the rest that ``showFirstLength`` or ``showLastLength`` is set to, in whole notes."""
    value = environment.variables.get(name)
    return value.length if isinstance(value, Event) else None


def _music_of(block: ScoreBlock) -> Iterator[Any]:
    """The music of a score; a variable in it may hold a score itself."""
    for item in block.items:
        if isinstance(item, VariableUse) and isinstance(item.music, ScoreBlock):
            yield from _music_of(item.music)
        else:
            yield item


def _swallowed(statements: list[Any]) -> list[Opaque]:
    """Takes out of ``statements`` what an unknown top-level command stands before: it may be its argument.

    Returns the opaque passages, arguments and the music of variables among them.
    """
    found: list[Opaque] = []
    kept: list[Any] = []
    swallower: Opaque | None = None
    for item in statements:
        if isinstance(item, Opaque) and not item.silent:
            swallower = None if item.complete else item
            found.append(item)
            found.extend(
                Opaque(node.start, node.end, item.reason) for body in item.bodies for node in _with_variables(body)
            )
        elif swallower is not None and isinstance(item, Node) and not isinstance(item, Assignment | ScoreBlock):
            found.append(Opaque(item.start, item.end, swallower.reason))
            if isinstance(item, VariableUse) and isinstance(item.music, Node):
                found.append(Opaque(item.music.start, item.music.end, swallower.reason))
        else:
            swallower = None
            kept.append(item)
    statements[:] = kept
    return found


def _score_blocks(statements: list[Any]) -> list[ScoreBlock]:
    """The scores in order: blocks, those in books, and music that stands by itself."""
    found: list[ScoreBlock] = []
    for item in statements:
        if isinstance(item, ScoreBlock):
            found.append(item)
        elif isinstance(item, BookBlock):
            found.extend(_score_blocks(item.statements))
        elif isinstance(item, VariableUse) and isinstance(item.music, ScoreBlock | BookBlock):
            found.extend(_score_blocks([item.music]))
        elif isinstance(item, Applied) and item.name == "void":
            continue
        elif isinstance(item, Node) and not isinstance(item, Assignment | Command | Opaque):
            found.append(ScoreBlock(item.start, item.end, [item], []))
    return found


def _is_quote(item: Applied) -> bool:
    return item.name == "void" and item.arguments[:1] == ("addQuote",)


def _names_used(node: Any) -> set[str]:
    return {inner.name for inner in _nodes(node) if isinstance(inner, VariableUse)}


def _quotes_used(node: Any) -> set[str]:
    """The names that ``\\quoteDuring`` quotes below a node, variables included."""
    top = node.value if isinstance(node, Assignment) else node
    return {
        str(inner.arguments[0])
        for inner in _nodes(top)
        if isinstance(inner, Applied) and inner.name == "quoteDuring" and inner.arguments
    }


def _with_variables(node: Any) -> list[Node]:
    """A node and the music of the variables used in it."""
    used = [inner.music for inner in _nodes(node) if isinstance(inner, VariableUse)]
    return [item for item in (node, *used) if isinstance(item, Node)]


def _nodes(top: Any) -> Iterator[Any]:
    """A node and all below it, variables not entered."""
    pending = [top]
    while pending:
        node = pending.pop()
        yield node
        if isinstance(node, Sequential | ScoreBlock):
            pending.extend(node.items)
        elif isinstance(node, BookBlock):
            pending.extend(node.statements)
        elif isinstance(node, Simultaneous):
            pending.extend(node.items)
            pending.extend(item for voice in node.voices for item in voice)
        elif isinstance(node, Applied):
            pending.extend(node.bodies)
        elif isinstance(node, RepeatNode):
            pending.extend([node.body, node.alternatives])
