"""Source notes: one object for each written note, however often it sounds, with the digits that stand there."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from ..score.model import LockedDigit, SourceNote, Unmarkable
from ..score.pitch import Pitch
from ..source.messages import Message, Severity
from .arguments import whole_number
from .stream import Sources
from .syntax import ChordEvent, Event, NoteEvent, Post

HAND_SIGNS = {
    "right": r"\b(r\.\s?h\.?|rh|m\.\s?d\.?|md|main droite|mano destra|rechte hand|right hand)(?!\w)",
    "left": r"\b(l\.\s?h\.?|lh|m\.\s?s\.?|ms|m\.\s?g\.?|mg|main gauche|mano sinistra|linke hand|left hand)(?!\w)",
}


def hand_in_text(text: str) -> str | None:
    """The hand that a text names, if it names just one."""
    found = [hand for hand, sign in HAND_SIGNS.items() if re.search(sign, text, re.IGNORECASE)]
    return found[0] if len(found) == 1 else None


_GROUPS = frozenset({"startGroup", "stopGroup"})


class NoteBook:
    """The source notes of one reading. The same place in a file is the same object in every score."""

    def __init__(self, sources: Sources) -> None:
        self.sources = sources
        self.messages: list[Message] = []
        self._notes: dict[tuple[int, int], SourceNote] = {}
        self._warned: set[int] = set()

    def note(self, node: NoteEvent) -> SourceNote:
        """The source note of a note outside a chord."""
        note = self._get(node, 0, node.end, node.posts, node.chord, node.appendable, node.end)
        if node.posts:
            self._group([note], node.posts)
        return note

    def chord(
        self, node: ChordEvent, notes: list[NoteEvent], side: int, pitches: tuple[Pitch, ...]
    ) -> list[SourceNote]:
        """The source notes of the sounding notes of a chord; digits stacked behind it go to them.

        ``side`` is the direction that the voice has of its own: without a direction on the digits themselves, it
        decides on which side of the chord they are stacked.
        """
        behind = node.end if node.appendable else None
        found = [self._get(note, 0, note.end, note.posts, node.start, True, behind) for note in notes]
        self._group(found, node.posts)
        stacked = _digits(node.posts)
        if stacked and node.start not in self._warned:
            self._warned.add(node.start)
            self._spread(node, stacked, found, pitches, side)
        return found

    def repeated(self, node: Event, index: int, reason: Unmarkable | None) -> SourceNote:
        """The source note of a ``q`` or of a bare duration, for the chord's note number ``index``."""
        note = self._get(node, index, node.end, [], None, True, node.end)
        self._group([note], node.posts)
        if reason is not None:
            note.unmarkable = reason
        elif not note.locked:
            self.lock(note, node.posts)
        return note

    def _group(self, notes: list[SourceNote], posts: list[Post]) -> None:
        """Tells notes of the analysis brackets that begin or end with their event."""
        found = [post for post in posts if post.kind in _GROUPS]
        if found:
            places = [(self.sources.place(post.start).offset, post.end - post.start) for post in found]
            for note in notes:
                note.groups = tuple((start, start + length) for start, length in places)

    def lock(self, note: SourceNote, posts: list[Post]) -> None:
        """Adds the digits among ``posts`` to a note."""
        known = {digit.place.offset for digit in note.locked}
        fresh = tuple(digit for digit in self._locked(posts) if digit.place.offset not in known)
        if fresh:
            note.locked = note.locked + fresh

    def _get(
        self,
        node: Any,
        index: int,
        end: int,
        posts: list[Post],
        chord: int | None,
        appendable: bool,
        behind: int | None,
    ) -> SourceNote:
        key = (node.start, index)
        note = self._notes.get(key)
        if note is None:
            start = node.start
            place = self.sources.place(start)
            base = start - place.offset
            note = SourceNote(place, end - base, None if chord is None or chord < 0 else chord - base)
            if posts:
                note.locked = self._locked(posts)
            if not appendable:
                note.unmarkable = Unmarkable.SCHEME_DURATION
            elif behind is not None:
                note.behind = behind - base
            self._notes[key] = note
        return note

    def _locked(self, posts: list[Post]) -> tuple[LockedDigit, ...]:
        found = _digits(posts)
        glides = [post.start for post in posts if post.kind == "glide"] if found else []
        if not glides:
            return tuple([self._digit(*one) for one in found])
        return tuple(
            self._digit(*one, glide=max((start for start in glides if start < one[0].start), default=None))
            for one in found
        )

    def _digit(
        self, post: Post, text: str, finger: int | None, behind_chord: bool = False, glide: int | None = None
    ) -> LockedDigit:
        place = self.sources.place(post.start)
        begin = None if glide is None else place.offset - (post.start - glide)
        return LockedDigit(place, text, finger, place.offset + post.end - post.start, behind_chord, begin)

    def _spread(
        self,
        node: ChordEvent,
        stacked: list[tuple[Post, str, int | None]],
        notes: list[SourceNote],
        pitches: tuple[Pitch, ...],
        side: int,
    ) -> None:
        """The first digit listed is nearest the heads: the lowest note's above the staff, the highest's below."""
        directions = {post.direction for post, _, _ in stacked} - {0}
        if len(stacked) != len(notes) or len(directions) > 1 or any(note.locked for note in notes):
            digits = "1 digit" if len(stacked) == 1 else f"{len(stacked)} digits"
            text = f"{digits} behind a chord of {len(notes)} notes: nothing is taken as locked"
            place = self.sources.place(stacked[0][0].start)
            self.messages.append(Message(Severity.WARNING, place, text, "digits-behind-chord"))
            return
        above = (directions.pop() if directions else side) >= 0
        order = sorted(range(len(notes)), key=lambda index: pitches[index].string, reverse=not above)
        for index, (post, text, finger) in zip(order, stacked, strict=True):
            notes[index].locked = (self._digit(post, text, finger, behind_chord=True),)


DIGIT_TEXT = re.compile(r"\s*([0-9]+)(?:\s*[-–/]\s*[0-9]+)?\s*")
"""A digit, or two for a change of finger on one string: the first one plucks."""


def _digits(posts: list[Post]) -> list[tuple[Post, str, int | None]]:
    """The fingerings among posts, in whatever spelling: the text as written, and the finger 1–4 that plucks."""
    found: list[tuple[Post, str, int | None]] = []
    for post in posts:
        if post.kind == "thumb":
            found.append((post, "thumb", 1))
        elif post.kind in ("digit", "finger") or (post.kind == "text" and DIGIT_TEXT.fullmatch(post.value)):
            found.append((post, post.value.strip(), _finger_in(post.value)))
    return found


@lru_cache(maxsize=256)
def _finger_in(text: str) -> int | None:
    match = DIGIT_TEXT.fullmatch(text)
    finger = whole_number(match[1]) if match else None
    return finger if finger in (1, 2, 3, 4) else None
