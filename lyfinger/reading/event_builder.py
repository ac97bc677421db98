"""Builds events while the tokens are parsed: notes, chords, rests, durations, and what is attached to them.

A note without a duration takes the last one in reading order: that is settled here because the typesetter settles it
while parsing.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any, TypeVar

from .arguments import duration_value, fraction, scheme_number
from .automaton import Callbacks
from .environment import QUARTER, Environment, Fault
from .syntax import (
    Applied,
    BareDuration,
    ChordEvent,
    Event,
    NoteEvent,
    Post,
    RepeatChordEvent,
    RestEvent,
    VariableUse,
)
from .tokens import Tok
from .unheard import Unheard

AnyEvent = TypeVar("AnyEvent", bound=Event)
SIDES = {"^": 1, "_": -1, "-": 0}
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


class Length:
    """A duration as written, in whole notes; ``scale`` is the factor in ``value`` that ``*`` gives."""

    __slots__ = ("end", "ends_in_scheme", "scale", "start", "value")

    def __init__(
        self, value: Fraction, start: int, end: int, ends_in_scheme: bool, scale: Fraction = Fraction(1)
    ) -> None:
        self.value = value
        self.start = start
        self.end = end
        self.ends_in_scheme = ends_in_scheme
        self.scale = scale


class EventBuilder(Callbacks):
    """The part of the builder that makes events. ``environment`` is the statement's that is being parsed."""

    def __init__(self) -> None:
        self.environment = Environment()

    def _carry(self, length: Length | None) -> Fraction:
        if length is not None:
            self.environment.length, self.environment.scale = length.value, length.scale
        return self.environment.length

    def _carry_on(self, music: Unheard) -> None:
        if music.carried is not None:
            self.environment.length, self.environment.scale = music.carried, music.scale

    def _scaled(self, event: AnyEvent) -> AnyEvent:
        event.scale = self.environment.scale
        return event

    def pitch(self, children: list[Any]) -> NoteEvent:
        token = children[0]
        octave, step, alter = token.value
        if len(children) == 1:
            return NoteEvent(token.start_pos, token.end_pos, QUARTER, step, alter, octave)
        end, check = token.end_pos, None
        for child in children[1:]:
            if isinstance(child, Tok):
                if child.type == "QUOTES":
                    octave += child.value
                end = child.end_pos
            else:
                check, end = child
        return NoteEvent(token.start_pos, end, QUARTER, step, alter, octave, check)

    def check(self, children: list[Any]) -> tuple[int, int]:
        if len(children) == 1:
            return 0, children[0].end_pos
        return children[1].value, children[1].end_pos

    def note(self, children: list[Any]) -> NoteEvent:
        node: NoteEvent = children[0]
        environment = self.environment
        for child in children[1:]:
            if isinstance(child, Length):
                environment.length, environment.scale = child.value, child.scale
                node.end = child.end
                node.appendable = not child.ends_in_scheme
            else:
                node.rest = True
        node.length, node.scale = environment.length, environment.scale
        return node

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
        appendable = length is None or not length.ends_in_scheme
        return self._scaled(ChordEvent(start, end, value, notes, appendable))

    def chord_note(self, children: list[Any]) -> NoteEvent:
        node: NoteEvent = children[0]
        node.posts = children[1:]
        return node

    def chord_applied(self, children: list[Any]) -> Any:
        prefix, body = children
        name, arguments = prefix.value
        if isinstance(body, NoteEvent) and name == "tag":
            body.tags = body.tags | frozenset(arguments[0])
        begin_at(prefix.start_pos, [body])
        return body

    def chord_command(self, children: list[Any]) -> list[Any]:
        return []

    def variable(self, children: list[Any]) -> VariableUse:
        token = children[0]
        return VariableUse(token.start_pos, token.end_pos, token.value, self.environment.variables.get(token.value))

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
        return RestEvent(children[0].start_pos, end, value, children[0].value)

    def repeated(self, children: list[Any]) -> RepeatChordEvent:
        length = children[1] if len(children) > 1 else None
        value = self._carry(length)
        end = length.end if length is not None else children[0].end_pos
        return self._scaled(RepeatChordEvent(children[0].start_pos, end, value))

    def bare(self, children: list[Any]) -> BareDuration:
        length: Length = children[0]
        return self._scaled(BareDuration(length.start, length.end, self._carry(length)))

    def duration(self, children: list[Any]) -> Length:
        token = children[0]
        text = token.value if isinstance(token.value, str) else ""
        if len(children) == 1 and (plain := duration_value(text)) is not None:
            return Length(plain, token.start_pos, token.end_pos, False)
        end, scheme, dots, factor = token.end_pos, False, "", Fraction(1)
        for child in children[1:]:
            if isinstance(child, Tok):
                dots, end = dots + ".", child.end_pos
            else:
                factor, end, scheme = factor * child.value, max(end, child.end), child.ends_in_scheme
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
            direction = SIDES[token.value[0]]
            return Post(SCRIPTS[token.value[1]], token.start_pos, token.end_pos, "", direction)
        return self._post(token, 0, token.start_pos)

    def directed_post(self, children: list[Any]) -> Post:
        direction, token = children
        return self._post(token, SIDES[direction.value], direction.start_pos)

    def _post(self, token: Tok, direction: int, start: int) -> Post:
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
        held = self.environment.variables.get(name)
        if isinstance(held, list) and held:
            inner = held[0]
            return Post(inner.kind, start, end, inner.value, direction or inner.direction)
        return Post("unknown", start, end, "", direction)

    def digit(self, children: list[Any]) -> Post:
        direction, token = children
        return Post("digit", direction.start_pos, token.end_pos, token.value, SIDES[direction.value])

    def plain_direction(self, children: list[Any]) -> Post:
        direction, token = children
        return Post("staccato", direction.start_pos, token.end_pos, "", SIDES[direction.value])

    def wrapped_post(self, children: list[Any]) -> Post:
        direction, post = children[0], children[-1]
        outer = SIDES[direction.value]
        return Post(post.kind, direction.start_pos, post.end, post.value, outer or post.direction)


def begin_at(start: int, bodies: list[Any]) -> None:
    r"""What a prefix (``\tweak``, ``\tag``) is for begins with it, where that is the post-event behind it."""
    while len(bodies) == 1 and isinstance(bodies[0], Applied):
        bodies = bodies[0].bodies
    if len(bodies) == 1 and isinstance(bodies[0], list) and bodies[0]:
        bodies[0][0].start = start


def _first_text(given: tuple[Any, ...]) -> str:
    return str(given[0]) if given else ""


def _add_to_chord(child: Any, notes: list[NoteEvent]) -> None:
    if isinstance(child, NoteEvent):
        notes.append(child)
    elif isinstance(child, list) and notes:
        notes[-1].posts = [*notes[-1].posts, *child]
