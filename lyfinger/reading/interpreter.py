"""Walks through the music of one score, as the typesetter's iterators would, and collects what sounds.

The walk goes in text order, because octaves, ``q`` and bare durations follow the text; each branch of
simultaneous music starts again at its own moment.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from .collect import Stamp
from .commands import BREATHS, GRACES, PASSED_THROUGH, SIDES, STAMPED, STAMPED_SETTINGS
from .contexts import STAFF_SETTINGS, Context, counter_of, role_of
from .layouts import SPLITTING
from .notes import NoteBook
from .pitches import check_octave, pitch_of
from .repeats import Repeats
from .stream import Sources
from .syntax import (
    Applied,
    BareDuration,
    ChordEvent,
    Command,
    NoteEvent,
    Opaque,
    RepeatChordEvent,
    RepeatNode,
    RestEvent,
    Sequential,
    Simultaneous,
    VariableUse,
)
from .ties import WAITING
from .walk import ONE, ZERO, Position, has_moved, latest_of


class Interpreter(Repeats):
    """Collects one score's music into ``collection`` and its contexts into ``tree``."""

    def __init__(self, sources: Sources, book: NoteBook, offset: int, tag_groups: dict[str, int]) -> None:
        super().__init__(sources, book, offset, tag_groups)
        self._walkers: dict[type, Callable[[Any, Position, Context], Position]] = {
            NoteEvent: self._note,
            ChordEvent: self._chord_event,
            RestEvent: self._rest,
            RepeatChordEvent: self._repeat_chord,
            BareDuration: self._bare,
            Sequential: self._sequential,
            Simultaneous: self._simultaneous,
            Command: self._command,
            Applied: self._applied,
            RepeatNode: self._repeat,
            VariableUse: self._variable,
            Opaque: self._opaque,
        }
        self._functions = self._function_table()

    def _function_table(self) -> dict[str, Callable[[Applied, Position, Context], Position]]:
        return {
            "context": self._context,
            "foreign": self._foreign,
            "relative": self._relative,
            "absolute": self._absolute,
            "fixed": self._fixed,
            "transpose": self._transpose,
            "tuplet": self._scaled,
            "times": self._scaled,
            "scaleDurations": self._scaled,
            "afterGrace": self._after_grace,
            "after": self._after,
            "chordRepeats": self._with_chords_written_out,
            "tabChordRepeats": self._with_chords_written_out,
            "single": lambda node, at, here: self.walk(node.bodies[1], at, here),
            "pitchedTrill": self._pitched_trill,
            "partCombine": self._part_combine,
            "partCombineUp": self._part_combine,
            "partCombineDown": self._part_combine,
            "autoChange": self._auto_change,
            "voices": self._voices,
            "harmonicByFret": self._other_pitches,
            "harmonicByRatio": self._other_pitches,
            "inversion": self._other_pitches,
            "modalInversion": self._other_pitches,
            "modalTranspose": self._other_pitches,
            "retrograde": self._backwards,
            "skip": self._skip_music,
            "makeClusters": self._skip_music,
            "incipit": lambda node, at, here: at,
            "void": lambda node, at, here: at,
            "unfoldRepeats": self._unfold_repeats,
            "keepWithTag": self._filtered,
            "removeWithTag": self._filtered,
            "tag": self._tagged,
            "alternative": self._alternative_inside,
            "volta": self._volta,
            "unfolded": self._unfolded,
        }

    def close(self) -> None:
        """Let go of the tables of methods, which lead back here: what was walked through then goes with its last use,
        and nothing waits for a search for cycles."""
        self._walkers.clear()
        self._functions.clear()

    def play(self, node: Any) -> None:
        """Walks one top-level music expression from moment 0."""
        end = self.walk(node, (ZERO, ZERO), self.tree.root)
        if end is not None:
            self.collection.end = max(self.collection.end, end[0])

    def show_ends(self, first: Fraction | None, last: Fraction | None) -> None:
        """Only the beginning and the end of this score are printed, each as long as given (whole notes)."""
        end = self.collection.end
        resumed = end if last is None else end - last
        # What begins just then is printed still, unless the end is to be shown as well.
        stopped = (ZERO, ZERO) if first is None else (first, Fraction(1 if last is None else -1))
        if stopped[0] < resumed:
            for (moment, grace), value in ((stopped, "##t"), ((resumed, -Fraction(1)), "##f")):
                self.collection.stamps.append(
                    Stamp(moment, grace, "skipTypesetting", value, None, self.tree.root.offset)
                )

    # ---- combinations ----

    def _sequential(self, node: Sequential, at: Position, here: Context) -> Position:
        comments = list(node.comments)
        collection = self.collection
        graces_from = collected = collection.size()
        total = ZERO
        started = at
        self._unheard = None
        loose = here.role != "voice"
        self._tail = None
        for item in node.items:
            while comments and comments[0].start < item.start:
                comment = comments.pop(0)
                self._stamp(at, "word", (comment.hand, True), here, comment.start)
                here = self.tree.descend(here) if loose else here
                collected = collection.size()
            if isinstance(item, Applied) and isinstance(item.bodies[0], list) and len(item.bodies) == 1:
                self._attach_late(item.bodies[0])
                continue
            at = self._past_unheard(at, here) if self._unheard is not None else at
            if loose:
                self.tree.reached = here
            after = self.walk(item, at, here)
            if loose:
                here = self.tree.descend(here)
            if self._lead is not ZERO and self._lead:
                tail = self._tail  # of a sequence that ended just there
                begin = tail[0] if tail is not None and tail[1:] == (graces_from, at) else graces_from
                collection.shift_grace(begin, collected, self._lead)
                if at == started:
                    total += self._lead
            collected = collection.size()
            if self._grace or has_moved(at, after):
                graces_from = collected
            at = after
        self._lead = ZERO if self._grace else total
        self._tail = (graces_from, collected, at)
        if loose:
            self.tree.reached = here
        return at

    def _simultaneous(self, node: Simultaneous, at: Position, here: Context) -> Position:
        if node.voices:
            numbers = self._numbers or list(range(1, len(node.voices) + 1))
            return self._numbered(node.voices, numbers, at, here, node.start)
        ends: list[Position] = [at]
        lead = ZERO
        for item in node.items:
            ends.append(self.walk(item, at, here))
            lead = min(lead, self._lead)
        self._lead = lead
        if len(node.items) > 1:
            self._unheard = None  # how long they last together is the other parts' to say
        self.tree.reached = here
        return latest_of(ends)

    def _variable(self, node: VariableUse, at: Position, here: Context) -> Position:
        if type(node.music) not in self._walkers:
            return self._opaque(Opaque(node.start, node.end, f"\\{node.name} holds no music"), at, here)
        self.tree.names.append(node.name)
        asked = here
        while asked.implied and asked.parent is not None:
            asked = asked.parent
        if asked.role in ("staff", "voice") and node.name not in asked.variables:
            asked.variables.append(node.name)
        end = self.walk(node.music, at, here)
        self.tree.names.pop()
        return end

    def _context(self, node: Applied, at: Position, here: Context) -> Position:
        kind, name, new, settings = node.arguments
        if self._dry:
            return self.walk(node.bodies[0], at, here)
        staves = len(self.tree.staves)
        context = self.tree.enter(here, kind, name, node.start, settings, new=new)
        if context.role == "staff" and context.index >= staves and at is not None:
            context.begins = at[0]
        if context.role in ("score", "staff", "voice", "group"):
            context.settings.update(settings)
        if context.role == "voice" and here.role == "voice" and context is not here:
            context.change = context.change or here.change
        body = node.bodies[0]
        self.tree.reached = context
        if isinstance(body, list):
            return at
        end = self.walk(body, at, context)
        self.tree.reached = self.tree.descend(context)
        return end

    # ---- commands ----

    def _command(self, node: Command, at: Position, here: Context) -> Position:
        name, given = node.name, node.arguments
        if name == "skip":
            return self._advance(at, given[0] * self.factor) if isinstance(given[0], Fraction) else None
        if name in SIDES:
            voice = self.tree.bottom_of(here) if not self._dry else None
            if voice is not None:
                voice.side = SIDES[name]
        elif name == "change":
            self._change(given[0], here)
        elif name in BREATHS and not self._dry:
            for item in self._latest:
                item.marks |= {"breath"}
        elif name == "octaveCheck":
            check_octave(self.reference, given[0][0], given[0][1])
        elif name == "resetRelativeOctave" and self.reference.relative is not None:
            self.reference.relative = (given[0][0], given[0][1])
            self.reference.lost = False
        elif name == "set":
            self._set(given, at, here, node.start)
        elif name == "key":
            if len(given) == 2 and given[0] and given[1]:
                octave, step, alter = given[0]
                tonic = pitch_of(octave, step, alter, self.transposition)
                inside = here if self._dry else self.tree.voice_of(here)
                self._stamp(at, name, (tonic, given[1]), inside or here, node.start)
        elif name in STAMPED:
            if name == "partial" and self.factor is not ONE and isinstance(given[0], Fraction):
                given = (given[0] * self.factor,)
            self._stamp(at, name, given, here, node.start)
        if node.posts:
            self._attach_words(node.posts, at, here)
        return at

    def _set(self, given: tuple[Any, ...], at: Position, here: Context, offset: int) -> None:
        path, value = given
        if not path:
            return
        prop = path[-1]
        if prop in STAMPED_SETTINGS:
            self._stamp(at, prop, value, self._scope(path, here), offset)
        elif prop in SPLITTING and not self._dry:
            bottom = self.tree.bottom_of(here)
            scope = self._scope(path, bottom or here) if len(path) > 1 else bottom or here
            scope.settings[prop] = str(value)
        elif prop == WAITING and not self._dry:
            bottom = self.tree.bottom_of(here) or here
            self._stamp(at, prop, value, self._scope(path, bottom), offset)
        elif prop in STAFF_SETTINGS and not self._dry:
            staff = here.up("staff", "group")
            if staff.role in ("staff", "group"):
                staff.settings[prop] = str(value)

    def _scope(self, path: tuple[str, ...], here: Context) -> Context:
        """The context in which ``\\set`` sets a property."""
        if len(path) < 2:
            return here
        if path[0] == "Timing":
            return counter_of(here) or here
        role = role_of(self.tree.made_from(path[0]))
        return self.tree.root if role == "score" else here.up(role) if role in ("staff", "group", "voice") else here

    def _change(self, name: Any, here: Context) -> None:
        if self._dry:
            return
        target = here if here.role == "voice" else self.tree.voice_of(here)
        if target is not None and isinstance(name, str):
            target.change = name

    def _applied(self, node: Applied, at: Position, here: Context) -> Position:
        if node.name in GRACES:
            return self._grace_group(node, at, here)
        handler = self._functions.get(node.name)
        if handler is not None:
            return handler(node, at, here)
        if node.name in PASSED_THROUGH:
            body = node.bodies[-1]
            if isinstance(body, list):
                self._attach_late(body)
                return at
            return self.walk(body, at, here)
        return self._opaque(_whole(node, f"\\{node.name} changes its music"), at, here)

    def _foreign(self, node: Applied, at: Position, here: Context) -> Position:
        return self._opaque(_whole(node, node.arguments[0].reason), at, here)


def _whole(node: Applied, reason: str) -> Opaque:
    """What is applied to music and can't be followed, with that music."""
    return Opaque(node.start, node.end, reason, bodies=[body for body in node.bodies if not isinstance(body, list)])
