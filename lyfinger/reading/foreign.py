"""What a score defines in Scheme, looked at and never run: which music it names, and where notes stand in it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import NamedTuple

MAKES_MUSIC = (
    r"#\{|make-(?:music|sequential-music|simultaneous-music|event-chord|repeat|grace)|music-deep-copy|parser-include"
)
"""Scheme that may make music where it stands."""

PRINTS = (
    r"\(\s*(?:add-(?:score|music)|collect-\S+|ly:parser-(?:include|parse)-string"
    r"|toplevel-\S+|ly:(?:book|score)-process)\b"
)
"""Scheme that may print music by itself, wherever it stands."""

WORD = r"[^\s()'\"`,#$@\\{}<>|;]+"
EMBEDDED = r"#\{([\s\S]*?)#\}"
PLAIN_WORD = r"(?<![\\\w$#-])[^\W\d_]+"
PITCH_ARGUMENT = r"\\(?:transpose\s+\S+|relative|fixed|key)\s+\S+|\"[^\"]*\""
"""Pitches that are no notes, and text."""


class SchemeText(NamedTuple):
    """A definition: its text, and where it stands (global offsets)."""

    text: str
    start: int
    end: int


class SchemeDefinitions:
    """What a score defines in Scheme, by name."""

    __slots__ = ("texts",)

    def __init__(self) -> None:
        self.texts: dict[str, SchemeText] = {}

    def behind(self, text: str) -> Iterator[SchemeText]:
        """The definitions that a stretch of Scheme names, and those that these name."""
        waiting, seen = [text], set()
        while waiting:
            for word in re.findall(WORD, waiting.pop()):
                if word in self.texts and word not in seen:
                    seen.add(word)
                    waiting.append(self.texts[word].text)
                    yield self.texts[word]

    def music_in(self, text: str, music: Collection[str]) -> tuple[str, ...]:
        """Which of the variables in ``music`` the Scheme names, itself or by way of other definitions."""
        texts = [text, *(found.text for found in self.behind(text))]
        return tuple(dict.fromkeys(word for one in texts for word in re.findall(WORD, one) if word in music))

    def makes_music(self, text: str) -> bool:
        """Whether the Scheme may make music, itself or by way of other definitions."""
        return any(re.search(MAKES_MUSIC, one) for one in (text, *(found.text for found in self.behind(text))))

    def prints(self, text: str) -> bool:
        """Whether the Scheme may print music by itself, or by way of other definitions."""
        return any(re.search(PRINTS, one) for one in (text, *(found.text for found in self.behind(text))))

    def with_notes(self, text: str, names: Collection[str]) -> list[SchemeText]:
        """The definitions behind a stretch of Scheme in which notes are written; ``names`` are those of pitches."""
        return [found for found in self.behind(text) if writes_notes(found.text, names)]


def writes_notes(text: str, names: Collection[str]) -> bool:
    """Whether LilyPond with notes is embedded in Scheme."""
    inside = re.sub(PITCH_ARGUMENT, " ", " ".join(re.findall(EMBEDDED, text)))
    return "make-pitch" in inside or any(word in names for word in re.findall(PLAIN_WORD, inside))
