"""Builds the syntax tree while the tokens are parsed: one method a rule of ``grammar/lilypond.lark``.

Two things are settled here because the typesetter settles them while parsing: a note without a duration takes
the last one in reading order, and a variable means what it held where it was read.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any, TypeVar

from .arguments import duration_value, fraction, scheme_number
from .automaton import Callbacks
from .dealing import deal
from .environment import QUARTER, Environment, Fault
from .syntax import (
    Applied,
    Assignment,
    BareDuration,
    BookBlock,
    ChordEvent,
    Command,
    Event,
    Node,
    NoteEvent,
    Opaque,
    Post,
    RepeatChordEvent,
    RepeatNode,
    RestEvent,
    ScoreBlock,
    Sequential,
    Simultaneous,
    VariableUse,
)
from .templates import template_score
from .tokens import Foreign, Tok
from .unheard import Unheard

AnyEvent = TypeVar("AnyEvent", bound=Event)
DIRECTIONS = {"^": 1, "_": -1, "-": 0}


@dataclass(slots=True)
class Separator:
    """``\\\\`` on its way into a :class:`Simultaneous`."""

    end: int


@dataclass(slots=True)
class Length:
    value: Fraction
    start: int
    end: int
    scheme: bool
    scale: Fraction = Fraction(1)


def start_of(child: Any) -> int:
    return child.start_pos if isinstance(child, Tok) else child.start


def end_of(child: Any) -> int:
    return child.end_pos if isinstance(child, Tok) else child.end


class Builder(Callbacks):
    """``environment`` is set by the parser's caller for each statement."""

    environment: Environment | None = None

    # ---- top level ----

    def start(self, children: list[Any]) -> list[Any]:
        return [child for child in children if not isinstance(child, Tok) or child.type == "TEXT"]

    def assignment(self, children: list[Any]) -> Any:
        assert self.environment is not None
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
        assert self.environment is not None
        token = children[0]
        name, given = token.value
        return template_score(name, given, self.environment.variables, token.start_pos, token.end_pos)

    def book(self, children: list[Any]) -> Any:
        return BookBlock(children[0].start_pos, children[-1].end_pos, list(children[2:-1]))

    # ---- music ----

    def attached(self, children: list[Any]) -> Any:
        node, posts = children[0], children[1:]
        if posts:
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
            assert self.environment is not None
            dealt = deal(arguments[0], bodies[0], prefix.start_pos, _end(children[-1]))
            self.environment.variables.update(dealt)
            name = "void"
        _begin_at(prefix.start_pos, bodies)
        return Applied(prefix.start_pos, _end(children[-1]), name, arguments, bodies)

    def repeat(self, children: list[Any]) -> Any:
        head, body = children[0], children[1]
        kind, count = head.value
        alternatives = children[3] if len(children) > 2 else None
        return RepeatNode(head.start_pos, children[-1].end, kind, count, body, alternatives)

    def alternative(self, children: list[Any]) -> Any:
        return Applied(children[0].start_pos, children[1].end, "alternative", (), [children[1]])

    def sequential(self, children: list[Any]) -> Any:
        assert self.environment is not None
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

    def variable(self, children: list[Any]) -> VariableUse:
        assert self.environment is not None
        token = children[0]
        return VariableUse(token.start_pos, token.end_pos, token.value, self.environment.variables.get(token.value))

    def opaque(self, children: list[Any]) -> Opaque:
        assert self.environment is not None
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
        assert self.environment is not None
        held = self.environment.variables
        start, end = token.start_pos, token.end_pos
        return [VariableUse(start, end, name, held[name]) for name in foreign.names if isinstance(held.get(name), Node)]

    # ---- notes and rests ----

    def _carry(self, length: Length | None) -> Fraction:
        assert self.environment is not None
        if length is not None:
            self.environment.length, self.environment.scale = length.value, length.scale
        return self.environment.length

    def _carry_on(self, music: Unheard) -> None:
        assert self.environment is not None
        if music.carried is not None:
            self.environment.length, self.environment.scale = music.carried, music.scale

    def _scaled(self, event: AnyEvent) -> AnyEvent:
        assert self.environment is not None
        event.scale = self.environment.scale
        return event

    def pitch(self, children: list[Any]) -> NoteEvent:
        token = children[0]
        octave, step, alter = token.value
        end, check = token.end_pos, None
        for child in children[1:]:
            if isinstance(child, Tok):
                if child.type == "QUOTES":
                    octave += child.value
                end = child.end_pos
            else:
                check, end = child
        return NoteEvent(token.start_pos, end, QUARTER, [], step, alter, octave, check)

    def check(self, children: list[Any]) -> tuple[int, int]:
        if len(children) == 1:
            return 0, children[0].end_pos
        return children[1].value, children[1].end_pos

    def note(self, children: list[Any]) -> NoteEvent:
        node: NoteEvent = children[0]
        length = next((child for child in children[1:] if isinstance(child, Length)), None)
        node.length = self._carry(length)
        if length is not None:
            node.end = length.end
            node.appendable = not length.scheme
        node.rest = isinstance(children[-1], Tok)
        return self._scaled(node)

    def chord(self, children: list[Any]) -> ChordEvent:
        start = children[0].start_pos
        length = children[-1] if isinstance(children[-1], Length) else None
        closing = children[-2] if length is not None else children[-1]
        notes: list[NoteEvent] = []
        for child in children[1:]:
            _add_to_chord(child, notes)
        value = self._carry(length)
        for note in notes:
            note.length, note.chord = value, start
        end = length.end if length is not None else closing.end_pos
        return self._scaled(ChordEvent(start, end, value, [], notes, not (length is not None and length.scheme)))

    def chord_note(self, children: list[Any]) -> NoteEvent:
        node: NoteEvent = children[0]
        node.posts = list(children[1:])
        return node

    def chord_applied(self, children: list[Any]) -> Any:
        prefix, body = children
        name, arguments = prefix.value
        if isinstance(body, NoteEvent) and name == "tag":
            body.tags = body.tags | frozenset(arguments[0])
        _begin_at(prefix.start_pos, [body])
        return body

    def chord_command(self, children: list[Any]) -> list[Any]:
        return []

    def chord_variable(self, children: list[Any]) -> Any:
        use = self.variable(children)
        if isinstance(use.music, NoteEvent):
            return use.music
        raise Fault(use.start)

    def chord_opaque(self, children: list[Any]) -> Any:
        raise Fault(children[0].start_pos)

    def rest(self, children: list[Any]) -> RestEvent:
        length = children[1] if len(children) > 1 else None
        value = self._carry(length)
        end = length.end if length is not None else children[0].end_pos
        return RestEvent(children[0].start_pos, end, value, [], children[0].value)

    def repeated(self, children: list[Any]) -> RepeatChordEvent:
        length = children[1] if len(children) > 1 else None
        value = self._carry(length)
        end = length.end if length is not None else children[0].end_pos
        return self._scaled(RepeatChordEvent(children[0].start_pos, end, value, []))

    def bare(self, children: list[Any]) -> BareDuration:
        length: Length = children[0]
        return self._scaled(BareDuration(length.start, length.end, self._carry(length), []))

    def duration(self, children: list[Any]) -> Length:
        token = children[0]
        text = token.value if isinstance(token.value, str) else ""
        end, scheme, dots, factor = token.end_pos, False, "", Fraction(1)
        for child in children[1:]:
            if isinstance(child, Tok):
                dots, end = dots + ".", child.end_pos
            else:
                factor, end, scheme = factor * child.value, max(end, child.end), child.scheme
        value = duration_value(text + dots) if text[:1] != "\\" or not dots else None
        if value is None and dots:
            base = duration_value(text)
            value = base and base * Fraction(2 * 2 ** len(dots) - 1, 2 ** len(dots))
        if value is None:
            raise Fault(token.start_pos)
        return Length(value * factor if children[1:] else value, token.start_pos, end, scheme, factor)

    def multiplier(self, children: list[Any]) -> Length:
        token = children[-1]
        if token.type == "FRACTION":
            value = fraction(token.value)
        elif token.type == "DURATION":
            value = Fraction(int(token.value)) if str(token.value).isdigit() else None
        else:
            value = scheme_number(str(token.value))
        if not isinstance(value, Fraction):
            raise Fault(token.start_pos)
        return Length(value, token.start_pos, token.end_pos, token.type == "SCALAR")

    # ---- post-events ----

    def posts(self, children: list[Any]) -> list[Post]:
        return list(children)

    def plain_post(self, children: list[Any]) -> Any:
        token = children[0]
        if token.type == "SCRIPT":
            direction = DIRECTIONS[token.value[0]]
            return Post(SCRIPTS[token.value[1]], token.start_pos, token.end_pos, "", direction)
        return self._post(token, 0, token.start_pos)

    def directed_post(self, children: list[Any]) -> Post:
        direction, token = children
        return self._post(token, DIRECTIONS[direction.value], direction.start_pos)

    def _post(self, token: Tok, direction: int, start: int) -> Post:
        assert self.environment is not None
        value = token.value
        if token.type == "TEXT":
            return Post("text", start, token.end_pos, value or "", direction)
        if isinstance(value, Unheard):
            self._carry_on(value)
            return Post(value.kind, start, token.end_pos, "", direction)
        if isinstance(value, tuple):
            name, given = value
            if name == "variable":
                return self._variable_post(given, direction, start, token.end_pos)
            return Post(name, start, token.end_pos, _first_text(given), direction)
        return Post(value, start, token.end_pos, "", direction)

    def _variable_post(self, name: str, direction: int, start: int, end: int) -> Post:
        assert self.environment is not None
        held = self.environment.variables.get(name)
        if isinstance(held, list) and held:
            inner = held[0]
            return Post(inner.kind, start, end, inner.value, direction or inner.direction)
        return Post("unknown", start, end, "", direction)

    def digit(self, children: list[Any]) -> Post:
        direction, token = children
        return Post("digit", direction.start_pos, token.end_pos, token.value, DIRECTIONS[direction.value])

    def plain_direction(self, children: list[Any]) -> Post:
        direction, token = children
        return Post("staccato", direction.start_pos, token.end_pos, "", DIRECTIONS[direction.value])

    def wrapped_post(self, children: list[Any]) -> Post:
        direction, post = children[0], children[-1]
        outer = DIRECTIONS[direction.value]
        return Post(post.kind, direction.start_pos, post.end, post.value, outer or post.direction)


SCRIPTS = {
    ".": "staccato",
    ">": "accent",
    "^": "marcato",
    "-": "tenuto",
    "+": "stopped",
    "!": "staccatissimo",
    "_": "portato",
    "|": "staccatissimo",
}


def _begin_at(start: int, bodies: list[Any]) -> None:
    r"""What a prefix (``\tweak``, ``\tag``) is for begins with it, where that is the post-event behind it."""
    while len(bodies) == 1 and isinstance(bodies[0], Applied):
        bodies = bodies[0].bodies
    if len(bodies) == 1 and isinstance(bodies[0], list) and bodies[0]:
        bodies[0][0].start = start


def _end(body: Any) -> int:
    return body[-1].end if isinstance(body, list) else end_of(body)


def _first_text(given: tuple[Any, ...]) -> str:
    return str(given[0]) if given else ""


def _add_to_chord(child: Any, notes: list[NoteEvent]) -> None:
    if isinstance(child, NoteEvent):
        notes.append(child)
    elif isinstance(child, list) and notes:
        notes[-1].posts = [*notes[-1].posts, *child]
