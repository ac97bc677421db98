"""The contexts of a score while it is read: groups, staves and voices, made as the typesetter makes them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Literal

from .layouts import BAR_COUNTER, EVERY_STAFF, OFF, ON, Layout

GROUPS = frozenset({"PianoStaff", "GrandStaff"})
NOT_PRINTED = frozenset(
    {
        "ChordNames",
        "Devnull",
        "Dynamics",
        "FiguredBass",
        "FretBoards",
        "Lyrics",
        "NoteNames",
        "NullVoice",
        "TabStaff",
        "TabVoice",
    }
)
"""Contexts in which a note makes no note head; tablature has numbers in their place."""

ALIASES = {
    "ChordNames": ("Staff",),
    "CueVoice": ("Voice",),
    "Devnull": ("Staff", "Voice"),
    "DrumStaff": ("Staff",),
    "DrumVoice": ("Voice",),
    "Dynamics": ("Staff", "Voice"),
    "FretBoards": ("Staff",),
    "NoteNames": ("Staff",),
    "NullVoice": ("Staff", "Voice"),
    "PianoStaff": ("GrandStaff",),
    "RhythmicStaff": ("Staff",),
    "TabStaff": ("Staff",),
    "TabVoice": ("Voice",),
}
"""What else a context answers to when ``\\context`` without a name looks for one. Source: ``engraver-init.ly``."""

ALIGNED = frozenset({"alignAboveContext", "alignBelowContext"})
STAFF_SETTINGS = frozenset({"instrumentName", *ALIGNED})
"""What is set in a staff that says what it is."""


Role = Literal["score", "group", "staff", "voice", "other"]


def role_of(kind: str) -> Role:
    """What a kind of context is for; unknown kinds by how they are called."""
    if kind in ("Score", "Timing", "Global", "Bottom"):
        return "score"
    if kind in NOT_PRINTED:
        return "other"
    if kind.endswith(("StaffGroup", "PianoStaff", "GrandStaff", "ChoirStaff", "Group")):
        return "group"
    if kind.endswith("Staff"):
        return "staff"
    if kind.endswith("Voice"):
        return "voice"
    return "other"


class Context:
    """One context. ``index`` is that of its staff, voice or group among those of the score, else -1.

    A voice has ``side`` (its own direction), ``change`` (the staff that ``\\change`` sent it to, by name) and
    ``cue`` (small notes that another plays). ``variables`` are those whose music led here. ``begins`` is when
    ``\\new`` or ``\\context`` made a staff, None where nothing did. ``implied``: nothing in the source asked for it.
    """

    __slots__ = (
        "begins",
        "change",
        "children",
        "cue",
        "default",
        "implied",
        "index",
        "kind",
        "name",
        "offset",
        "parent",
        "role",
        "settings",
        "side",
        "variables",
    )

    def __init__(
        self,
        kind: str,
        role: Role,
        name: str | None,
        parent: Context | None,
        offset: int,
        settings: dict[str, str] | None = None,
    ) -> None:
        self.kind = kind
        self.role = role
        self.name = name
        self.parent = parent
        self.offset = offset
        self.index = -1
        self.settings: dict[str, str] = {} if settings is None else settings
        self.children: list[Context] = []
        self.variables: list[str] = []
        self.side = 0
        self.change: str | None = None
        self.cue = False
        self.default: Context | None = None
        self.implied = False
        self.begins: Fraction | None = None

    def answers(self, kind: str) -> bool:
        """Whether ``\\context`` of a kind means this one."""
        return kind == self.kind or kind in ALIASES.get(self.kind, ())

    def below(self, kind: str) -> Context | None:
        """The first context inside this one that answers to a kind, the deeper before the later."""
        for child in self.children:
            found = child if child.answers(kind) else child.below(kind)
            if found is not None:
                return found
        return None

    def outward(self) -> Iterator[Context]:
        """This context, then those around it, the nearest first."""
        here: Context | None = self
        while here is not None:
            yield here
            here = here.parent

    def setting(self, name: str) -> str | None:
        """The value of a property here, or in the nearest context around that has one; None where it is unset."""
        return next((here.settings[name] or None for here in self.outward() if name in here.settings), None)

    def up(self, *roles: Role) -> Context:
        """This context or the nearest around it that has one of the roles; else the outermost."""
        here = self
        while here.role not in roles and here.parent is not None:
            here = here.parent
        return here


def counter_of(context: Context) -> Context | None:
    """The context whose bar counter counts for this one; None if nobody does."""
    for here in context.outward():
        if here.settings.get(BAR_COUNTER, ON if here.parent is None else OFF) == ON:
            return here
    return None


class ContextTree:
    """All contexts of one score, in the order in which they came into being."""

    def __init__(self, offset: int) -> None:
        self.root = Context("Score", "score", None, None, offset)
        self.staves: list[Context] = []
        self.voices: list[Context] = []
        self.groups: list[Context] = []
        self.defaults: dict[str, dict[str, str]] = {}
        """The settings that a kind of context begins with."""
        self.made: dict[str, str] = {}
        """Kinds of the score's own, with what each was made from."""
        self.accepting: set[tuple[str, str]] = set()
        """Which kind accepts another besides those that it does by itself."""
        self.reached: Context | None = None
        """The context in which the latest expression outside of a voice has ended."""
        self.names: list[str] = []
        """The variables whose music is being read, the outermost first."""

    def made_from(self, kind: str) -> str:
        """The kind itself, or the one that a ``\\layout`` block made it from."""
        return self.made.get(kind, kind)

    def lay_out(self, layouts: list[Layout]) -> None:
        """Takes over what layouts say of contexts, before the first is made."""
        for definition in (definition for layout in layouts for definition in layout.definitions):
            kind, base = definition.kind, definition.made_from
            if base is not None:
                self.made[kind] = self.made_from(base)
                self.defaults[kind] = dict(self.defaults.get(base, {}))
            self.defaults.setdefault(kind, {}).update(definition.settings)
            self.accepting.update((kind, accepted) for accepted in definition.accepts)
        self.root.settings.update(self.defaults.get("Score", {}))

    def enter(
        self, here: Context, kind: str, name: str | None, offset: int, settings: Mapping[str, str], *, new: bool
    ) -> Context:
        """The context that ``\\new`` or ``\\context`` opens."""
        role = role_of(self.made_from(kind))
        if role == "score":
            return self.root
        if not new:
            found = self._find(here, role, kind, name)
            if found is not None:
                return found
        if here.kind == "TabStaff" and kind == "Voice" and (here.kind, kind) not in self.accepting:
            here = here.up("group", "score")  # tablature takes no voice but its own: a staff is made for it
        parent = self._parent(here, role)
        return self._make(kind, role, name, parent, offset, dict(settings))

    def _parent(self, here: Context, role: Role) -> Context:
        if role == "voice":
            staff = here.up("staff")
            if staff.role == "staff":
                return staff
            return self._implied(here) if here.role != "other" else here
        if role == "other" and here.role == "voice":
            return here.up("staff", "group", "score")
        return here.up("group", "score")

    def _find(self, here: Context, role: Role, kind: str, name: str | None) -> Context | None:
        if name is None:
            near = here.up(role)
            return near if near.role == role and near.answers(kind) else here.below(kind)
        # A name is looked for where the context could be made: in this staff, or in this group.
        scope = here.up("staff", "group", "score") if role == "voice" else here.up("group", "score")
        pool = self._pool(role) or ()
        return next((one for one in pool if one.name == name and one.kind == kind and scope in one.outward()), None)

    def _pool(self, role: Role) -> list[Context] | None:
        """All contexts of a role that the score lists; None for one that it doesn't."""
        return {"staff": self.staves, "voice": self.voices, "group": self.groups}.get(role)

    def _make(
        self, kind: str, role: Role, name: str | None, parent: Context, offset: int, settings: dict[str, str]
    ) -> Context:
        given = {**(self.defaults.get(EVERY_STAFF, {}) if role == "staff" else {}), **self.defaults.get(kind, {})}
        context = Context(kind, role, name, parent, offset, settings=given | settings)
        context.cue = kind == "CueVoice"
        context.variables = list(self.names)
        parent.children.append(context)
        pool = self._pool(role)
        if pool is not None:
            context.index = len(pool)
            pool.append(context)
        return context

    def voice_of(self, here: Context) -> Context | None:
        """The voice in which a note here sounds; None where nothing is printed. Outside of a voice each note is given
        a new one, in a new staff outside of a staff; what follows it in sequence then goes on in there."""
        if here.role == "voice":
            return here if here.up("staff").role == "staff" else None
        if here.role == "other":
            return None
        staff = here.up("staff")
        if staff.role != "staff":
            staff = self._implied(here)
        self.reached = voice = self._make("Voice", "voice", None, staff, here.offset, {})
        voice.implied = True
        return voice

    def bottom_of(self, here: Context) -> Context | None:
        """The voice for which something is set here: the first that there is already, else as for a note."""
        found = None if here.role in ("voice", "other") else here.below("Voice")
        if found is None or found.role != "voice":
            return self.voice_of(here)
        self.reached = found
        return found

    def staff_of(self, here: Context) -> Context:
        """The staff of this place: the one around it, else the first inside, made if there is none yet."""
        staff = here.up("staff")
        if staff.role == "staff":
            return staff
        found = here.below("Staff")
        self.reached = found if found is not None and found.role == "staff" else self._implied(here)
        return self.reached

    def _implied(self, here: Context) -> Context:
        staff = self._make("Staff", "staff", None, here, here.offset, {})
        staff.implied = True
        if here.default is None:
            here.default = staff
        return staff

    def descend(self, here: Context) -> Context:
        """Where music goes on in sequence behind an expression that began here: a sequence follows what stands in it
        into the context that it made or found. (Simultaneous music leaves ``reached`` where it began.)"""
        reached = self.reached
        return reached if reached is not None and here in reached.outward() else here

    def numbered_voice(self, here: Context, number: int, offset: int) -> Context:
        """The voice of one part of ``<< … \\\\ … >>``; the same numbers in one staff are one voice."""
        if here.role == "other":
            return here
        staff = self.staff_of(here)
        name = str(number)
        for child in staff.children:
            if child.role == "voice" and child.name == name:
                child.change = here.change
                return child
        voice = self._make("Voice", "voice", name, staff, offset, {})
        voice.change = here.change
        return voice
