"""What part of the music a run is about: bars, staves, voices.

The whole of it is planned all the same, so that what is selected gets the digits that it would have in a whole marking.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from ..hands.names import asked_for, means, staff_called, voice_called
from ..hands.players import players
from ..score.model import Note, Score
from ..source.messages import Message, Refused
from ..source.text import Place

_MOST_NAMES = 30
"""How many names of staves or voices a refusal lists."""


class Excerpt(NamedTuple):
    """``bars`` are the first and the last printed number; ``staves`` and ``voices`` names as the user wrote them.

    What is empty selects nothing, that is, leaves all of it in. ``fixed`` is True where the staves are a setting of a
    whole repository: a score that has none of them is then taken whole.
    """

    bars: tuple[int, int] | None = None
    staves: tuple[str, ...] = ()
    voices: tuple[str, ...] = ()
    fixed: bool = False

    def with_setting(self, staves: tuple[str, ...]) -> Excerpt:
        """The excerpt in a repository whose settings name the harp's staves."""
        return self if self.staves or not staves else self._replace(staves=staves, fixed=True)

    @property
    def is_whole(self) -> bool:
        return not (self.bars or self.staves or self.voices)

    def within(self, score: Score) -> Callable[[Note], bool]:
        """Whether a note of a score (one sounding) is selected."""
        if self.is_whole:
            return lambda note: True
        staves = self._staves(score)
        voices = {index for index, voice in enumerate(score.voices) if self._has_voice(voice_called(voice))}
        return lambda note: note.staff in staves and note.voice in voices and self._in_bars(score, note)

    def _staves(self, score: Score) -> frozenset[int]:
        everything = frozenset(range(len(score.staves)))
        if not self.staves:
            return everything
        chosen = asked_for(score, self.staves, ossias_of(score))
        return everything if self.fixed and not chosen else chosen

    def _has_voice(self, names: Sequence[str]) -> bool:
        return not self.voices or any(means(wanted, names) for wanted in self.voices)

    def _in_bars(self, score: Score, note: Note) -> bool:
        return self.bars is None or self._has_bar(score.bar_number(note))

    def _has_bar(self, number: int | None) -> bool:
        return self.bars is None or (number is not None and self.bars[0] <= number <= self.bars[1])

    def of(self, messages: Iterable[Message], scores: Sequence[Score]) -> Iterator[Message]:
        """Those of some messages about the scores that concern what is selected, or no note of these at all."""
        if self.is_whole:
            yield from messages
            return
        inside: dict[Place, bool] = {}
        for score in scores:
            takes = self.within(score)
            for note in score.notes:
                for place in _places(note):
                    inside[place] = inside.get(place, False) or takes(note)
        for message in messages:
            if inside.get(message.place, message.bar is None or self._has_bar(message.bar)):
                yield message

    def heard(self, scores: Sequence[Score]) -> Heard:
        """What scores have of what is selected, and what they have at all; nothing where all is selected."""
        if self.is_whole:
            return Heard()
        called = [name for name in self.staves if any(asked_for(score, [name], ossias_of(score)) for score in scores)]
        staves = [staff_called(score, index) for score in scores for index in range(len(score.staves))]
        voices = tuple(voice_called(voice) for score in scores for voice in score.voices)
        met = [name for name in self.voices if any(means(name, names) for names in voices)]
        return Heard(
            frozenset(called),
            frozenset(met),
            tuple(name for names in staves for name in names),
            tuple(name for names in voices for name in names),
            frozenset(_numbers(scores)) if self.bars else frozenset(),
        )

    def refuse_unknown(self, heard: Heard) -> None:
        """Raise Refused for a name that is nothing's in the scores, or bars without a note; says what there is."""
        for name in () if self.fixed else self.staves:
            if name not in heard.asked_staves:
                raise Refused(f'no staff is called "{name}"; {_listed("there is", heard.staves)}')
        for name in self.voices:
            if name not in heard.asked_voices:
                raise Refused(f'no voice is called "{name}"; {_listed("there is", heard.voices)}')
        if self.bars and not any(self._has_bar(number) for number in heard.bars):
            raise Refused(_no_bars(self.bars, sorted(heard.bars)))


class Heard(NamedTuple):
    """What some scores have: which of the names of staves and voices that were asked for are met, the names of all, in
    order, and the printed numbers of the bars with notes."""

    asked_staves: frozenset[str] = frozenset()
    asked_voices: frozenset[str] = frozenset()
    staves: tuple[str, ...] = ()
    voices: tuple[str, ...] = ()
    bars: frozenset[int] = frozenset()

    def and_then(self, other: Heard) -> Heard:
        """The same of these scores and then others."""
        return Heard(
            self.asked_staves | other.asked_staves,
            self.asked_voices | other.asked_voices,
            self.staves + other.staves,
            self.voices + other.voices,
            self.bars | other.bars,
        )


WHOLE = Excerpt()
"""Nothing is selected: all of the music is meant."""


def ossias_of(score: Score) -> frozenset[int]:
    """The staves (indices) of a score that are ossias, as they say or as is guessed."""
    return players(score).ossias


def _places(note: Note) -> Iterator[Place]:
    """Where a message about a note may stand: at the note or at a digit of its own."""
    yield note.source.place
    yield from (digit.place for digit in note.source.locked)


def _numbers(scores: Iterable[Score]) -> set[int]:
    return {number for score in scores for note in score.notes if (number := score.bar_number(note)) is not None}


def _listed(begin: str, names: Iterable[str]) -> str:
    known = list(dict.fromkeys(names))
    more = f" and {len(known) - _MOST_NAMES} more" if len(known) > _MOST_NAMES else ""
    return f"{begin} {', '.join(known[:_MOST_NAMES]) or 'none'}{more}"


def _no_bars(bars: tuple[int, int], known: Sequence[int]) -> str:
    wanted = f"bar {bars[0]}" if bars[0] == bars[1] else f"bars {bars[0]} to {bars[1]}"
    there = f"; the notes stand in bars {known[0]} to {known[-1]}" if known else ""
    return f"no note stands in {wanted}{there}"
