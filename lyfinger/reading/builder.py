"""Builds the syntax tree while the tokens are parsed: one method a rule of ``grammar/lilypond.lark``.

A variable means what it held where it was read: that is settled here because the typesetter settles it while parsing.
"""

from __future__ import annotations

from typing import Any

from .dealing import deal
from .event_builder import EventBuilder, begin_at
from .syntax import (
    Applied,
    Assignment,
    BookBlock,
    Command,
    Node,
    Opaque,
    RepeatNode,
    ScoreBlock,
    Sequential,
    Simultaneous,
    VariableUse,
)
from .templates import template_score
from .tokens import Foreign, Tok
from .unheard import Unheard


class Separator:
    """``\\\\`` on its way into a :class:`Simultaneous`."""

    __slots__ = ("end",)

    def __init__(self, end: int) -> None:
        self.end = end


class Builder(EventBuilder):
    """Everything but events: statements, scores, and music in brackets or given to commands."""

    # ---- top level ----

    def start(self, children: list[Any]) -> list[Any]:
        return [child for child in children if not isinstance(child, Tok) or child.type == "TEXT"]

    def assignment(self, children: list[Any]) -> Any:
        name, value = children[0].value, children[1]
        if isinstance(value, Tok):
            value = None
        self.environment.variables[name] = value
        return Assignment(children[0].start_pos, children[0].end_pos, name, value)

    def score(self, children: list[Any]) -> Any:
        items = [child for child in children[2:-1] if not isinstance(child, Tok)]
        blocks = [child.value for child in children if isinstance(child, Tok) and child.type == "BLOCK"]
        return ScoreBlock(children[0].start_pos, children[-1].end_pos, items, blocks)

    def template(self, children: list[Any]) -> Any:
        token = children[0]
        name, given = token.value
        return template_score(name, given, self.environment.variables, token.start_pos, token.end_pos)

    def book(self, children: list[Any]) -> Any:
        return BookBlock(children[0].start_pos, children[-1].end_pos, list(children[2:-1]))

    # ---- music ----

    def attached(self, children: list[Any]) -> Any:
        node = children[0]
        if len(children) == 1:
            return node
        posts = children[1:]
        if isinstance(node, VariableUse) and not isinstance(node.music, (list, type(None))):
            node.posts = posts
        elif hasattr(node, "posts"):
            node.posts = [*node.posts, *posts]
        return node

    def applied(self, children: list[Any]) -> Any:
        prefix, *bodies = children
        name, arguments = prefix.value
        if name == "foreign":
            bodies += self._used(prefix, arguments[0])
        if name == "parallelMusic":
            dealt = deal(arguments[0], bodies[0], prefix.start_pos, _end(children[-1]))
            self.environment.variables.update(dealt)
            name = "void"
        begin_at(prefix.start_pos, bodies)
        return Applied(prefix.start_pos, _end(children[-1]), name, arguments, bodies)

    def repeat(self, children: list[Any]) -> Any:
        head, body = children[0], children[1]
        kind, count = head.value
        alternatives = children[3] if len(children) > 2 else None
        return RepeatNode(head.start_pos, children[-1].end, kind, count, body, alternatives)

    def alternative(self, children: list[Any]) -> Any:
        return Applied(children[0].start_pos, children[1].end, "alternative", (), [children[1]])

    def sequential(self, children: list[Any]) -> Any:
        first = children[1] if children[0].type == "SEQUENTIAL" else children[0]
        start, end = first.start_pos, children[-1].end_pos
        items = [child for child in children if not isinstance(child, Tok)]
        comments = self.environment.comments
        inside = [comment for comment in comments if start <= comment.start < end] if comments else []
        if inside:
            self.environment.comments = [comment for comment in comments if not start <= comment.start < end]
        return Sequential(start, end, items, inside)

    def simultaneous(self, children: list[Any]) -> Any:
        start, end = children[0].start_pos, children[-1].end_pos
        voices: list[list[Any]] = [[]]
        separated = False
        for child in children:
            if isinstance(child, Separator):
                separated = True
                voices.append([])
            elif not isinstance(child, Tok):
                voices[-1].append(child)
        if separated:
            return Simultaneous(start, end, [], voices)
        return Simultaneous(start, end, voices[0])

    def separator(self, children: list[Any]) -> Separator:
        return Separator(children[0].end_pos)

    def command(self, children: list[Any]) -> Command:
        token = children[0]
        name, arguments = token.value
        return Command(token.start_pos, token.end_pos, name, arguments)

    def opaque(self, children: list[Any]) -> Opaque:
        token, value = children[0], children[0].value
        start, end = token.start_pos, token.end_pos
        if isinstance(value, Unheard):
            self._carry_on(value)
            return Opaque(start, end, value.reason or value.kind, silent=value.reason is None, length=value.length)
        if isinstance(value, Foreign):
            return Opaque(start, end, value.reason, bodies=self._used(token, value), complete=value.complete)
        return Opaque(start, end, value)

    def _used(self, token: Tok, foreign: Foreign) -> list[Node]:
        """Uses of the variables that Scheme names."""
        held = self.environment.variables
        start, end = token.start_pos, token.end_pos
        return [VariableUse(start, end, name, held[name]) for name in foreign.names if isinstance(held.get(name), Node)]


def _end(body: Any) -> int:
    last = body[-1] if isinstance(body, list) else body
    return last.end_pos if isinstance(last, Tok) else last.end
