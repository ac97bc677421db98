"""Which hand a note is for, and on what evidence."""

from __future__ import annotations

from enum import Enum, StrEnum
from typing import NamedTuple

from ..source.messages import Message


class Hand(StrEnum):
    RIGHT = "right"
    LEFT = "left"

    @property
    def other(self) -> Hand:
        return Hand.LEFT if self is Hand.RIGHT else Hand.RIGHT


class Evidence(Enum):
    """What a hand was decided by, strongest first. The value completes the sentence "the hand is known …"."""

    SETTING = "from a [hands] setting"
    COMMENT = "from a lyfinger comment in the music"
    HAND_WORD = "from a hand word in the music"
    NAME = "from a name"
    ORDER = "from the order of the staves"
    CLEF = "from the clef"
    UNKNOWN = "from nothing: no name says it"
    NOT_HARP = "from nothing: the staff is not the harp's"


class Reason(NamedTuple):
    """``detail`` is the name, word or clef that decided, empty where there is none."""

    evidence: Evidence
    detail: str = ""


class Hands(NamedTuple):
    """The hands of one score; ``hands``, ``reasons`` and ``players`` run parallel to its notes.

    A note without a hand is not the harpist's, or nothing says which hand it is for. ``players`` number the
    harpists (each PianoStaff or GrandStaff is one). ``passed`` are indices of notes given to the other hand
    because their own had more than four; ``crowded`` those of moments that no hand can take, which stay unmarked.
    ``settings`` are the keys of ``[hands]`` that decided something.
    """

    hands: tuple[Hand | None, ...]
    reasons: tuple[Reason, ...]
    players: tuple[int | None, ...]
    passed: frozenset[int] = frozenset()
    crowded: frozenset[int] = frozenset()
    settings: frozenset[str] = frozenset()
    messages: tuple[Message, ...] = ()
