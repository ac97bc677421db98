"""Reads a root file and all that it includes into scores."""

from __future__ import annotations

import sys
from typing import Any

from ..score.model import Reading, Score
from ..source.library import Library
from ..source.messages import Message, Refused, Severity
from ..source.text import SourceFile
from .adapter import Adapter
from .assemble import assemble
from .builder import Environment
from .interpreter import Interpreter, Unread
from .notes import NoteBook
from .parser import parse
from .stream import Sources
from .syntax import VariableUse, Applied, Assignment, BookBlock, Command, Node, Opaque, RepeatNode, ScoreBlock, Sequential, Simultaneous

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
        return _Reader(sources, root, adapter, strict).read(statements)
    finally:
        sys.setrecursionlimit(limit)


class _Reader:
    def __init__(self, sources: Sources, root: SourceFile, adapter: Adapter, strict: bool) -> None:
        self.sources = sources
        self.strict = strict
        self.tag_groups = adapter.tag_groups
        self.untimed = adapter.untimed
        self.book = NoteBook(sources)
        self.reading = Reading(
            root, files=sources.files, assets=adapter.assets, includes=adapter.includes, messages=list(adapter.messages)
        )

    def read(self, statements: list[Any]) -> Reading:
        for item in _swallowed(statements):
            self._unread(Unread(item.start, item.end, item.reason))
        for block in _score_blocks(statements):
            self._score(block)
        if not self.reading.scores:
            self._loose(statements)
        self.reading.messages.extend(self.book.messages)
        return self.reading

    def _score(self, block: ScoreBlock) -> None:
        printed = "layout" in block.blocks or "midi" not in block.blocks
        score = Score(len(self.reading.scores), self.sources.place(block.start), printed)
        walker = Interpreter(self.sources, self.book, block.start, self.tag_groups)
        if any(at < block.start or block.start <= at < block.end for at in self.untimed):
            walker.stop_timing()
        for item in block.items:
            walker.play(item)
        self._finish(score, walker)

    def _loose(self, statements: list[Any]) -> None:
        """One score of a file without any: each variable that no other uses is a staff of it."""
        music = {item.name: item for item in statements if isinstance(item, Assignment) and isinstance(item.value, Node)}
        used = {name for item in music.values() for name in _names_used(item.value)}
        walker: Interpreter | None = None
        for name, item in music.items():
            if name in used:
                continue
            if walker is None:
                walker = Interpreter(self.sources, self.book, item.start, self.tag_groups)
            walker.tree.names[:] = [name]
            walker.play(Applied(item.start, item.end, "context", ("Staff", None, True, {}), [item.value]))
        if walker is None:
            return
        score = Score(0, self.sources.place(next(iter(music.values())).start), loose=True)
        self._finish(score, walker)

    def _finish(self, score: Score, walker: Interpreter) -> None:
        assemble(score, walker.tree, walker.collection, self.sources)
        if score.loose and not score.notes:
            return
        self.reading.scores.append(score)
        for passage in walker.unread:
            self._unread(passage)

    def _unread(self, passage: Unread) -> None:
        place, end = self.sources.place(passage.start), self.sources.place(max(passage.start, passage.end - 1))
        line, column = end.line_column
        notes = f", {passage.notes} notes" if passage.notes else ""
        text = f"{passage.reason}: nothing is marked from here to {line}:{column}{notes}"
        if self.strict:
            raise Refused(text, place)
        message = Message(Severity.WARNING, place, text, "passage-not-followed", end)
        if message not in self.reading.messages:
            self.reading.messages.append(message)


def _swallowed(statements: list[Any]) -> list[Opaque]:
    """Takes out of ``statements`` what an unknown top-level command stands before: it may be its argument.

    Returns the opaque passages, arguments and the music of variables among them.
    """
    found: list[Opaque] = []
    kept: list[Any] = []
    swallower: Opaque | None = None
    for item in statements:
        if isinstance(item, Opaque) and not item.silent:
            swallower = item
            found.append(item)
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
        elif isinstance(item, Node) and not isinstance(item, Assignment | Command | Opaque):
            if not (isinstance(item, Applied) and item.name == "void"):
                found.append(ScoreBlock(item.start, item.end, [item], []))
    return found


def _names_used(node: Any) -> set[str]:
    if isinstance(node, VariableUse):
        return {node.name}
    children: list[Any] = []
    if isinstance(node, Sequential):
        children = node.items
    elif isinstance(node, Simultaneous):
        children = [*node.items, *(item for voice in node.voices for item in voice)]
    elif isinstance(node, Applied):
        children = node.bodies
    elif isinstance(node, RepeatNode):
        children = [node.body, node.alternatives]
    return {name for child in children for name in _names_used(child)}
