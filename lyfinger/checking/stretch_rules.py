"""Rules on stretches: nothing that can't be played, but what may hurt, each with the caution."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from ..hands.model import Hand
from ..harp.reach import Reach
from ..marking.passages import HandPassage
from ..score.pitch import string_name
from ..source.messages import Message, Severity
from .draft import CAUTION, Draft, Part, Struck, interval

_OCTAVE = 8
_TENTH = 10
_TIRING = 20
_RESTED = 600
_OUTER = (4, 1)
_NEAR, _NEAR_IN_TURN = 667, 750
"""The share of the way from an easy to the greatest spread, in thousandths, from which a spread is near its limit:
struck together, and struck in turn, when the hand may open in passing. Settings."""


class _Stretch(NamedTuple):
    """Two strings and the two fingers on them, low to high; ``share`` is how much of the way from an easy to the
    greatest spread they are open, in thousandths."""

    low: int
    high: int
    fingers: tuple[int, int]
    share: int

    @property
    def strings(self) -> int:
        """Strings from the one to the other, both counted."""
        return self.high - self.low + 1

    @property
    def text(self) -> str:
        """What is wide, and how wide for this hand."""
        name = interval(self.strings)
        if self.fingers == _OUTER:
            return f"{name} is near the limit of this hand"
        between = f"{name} between {self.fingers[0]} and {self.fingers[1]}"
        return f"{between} is {'beyond' if self.share > 1000 else 'near'} what they reach in this hand"


class _Widest:
    """Finds the pair of a shape that is nearest to its limit, for one hand on one harp; shapes return, so it remembers.

    ``near`` is the share, in thousandths, above which a pair is near its limit.
    """

    def __init__(self, reach: Reach, near: int) -> None:
        self.reach = reach
        self.near = near
        self._known: dict[tuple[tuple[int, ...], tuple[int, ...]], _Stretch | None] = {}

    def pair(self, strings: tuple[int, ...], fingers: tuple[int, ...]) -> _Stretch | None:
        """The outer pair where it is near its limit, else the nearest of those that are, else None."""
        shape = strings, fingers
        if shape not in self._known:
            pairs = combinations(zip(strings, fingers, strict=True), 2)
            found = (self._stretch(low, high) for low, high in pairs if low[1] != high[1])
            wide = (one for one in found if one.share > self.near)
            self._known[shape] = max(wide, key=lambda one: (one.fingers == _OUTER, one.share), default=None)
        return self._known[shape]

    def _stretch(self, low: tuple[int, int], high: tuple[int, int]) -> _Stretch:
        """Two strings, each with its finger."""
        spread = self.reach.spread(low[1], high[1])
        over = self.reach.span(low[0], high[0]) - spread.easy
        return _Stretch(low[0], high[0], (low[1], high[1]), over * 1000 // (spread.greatest - spread.easy))

    def in_chord(self, one: Struck) -> _Stretch | None:
        """The widest pair of a chord; where its digits are not known, its outer strings as thumb and ring finger."""
        strings = one.onset.strings
        whole = self.pair((strings[0], strings[-1]), _OUTER)
        if whole is not None:
            return whole if whole.share <= 1000 else None
        digits = one.digits
        return None if digits is None else self.pair(strings, digits)

    def in_turn(self, onsets: list[tuple[int, ...]], fingers: dict[int, int]) -> _Stretch | None:
        """The widest pair of a placing, if its strings are not struck together; ``fingers`` by string."""
        strings = tuple(sorted(fingers))
        wide = self.pair(strings, tuple([fingers[string] for string in strings]))
        if wide is None or any({wide.low, wide.high} <= {*struck} for struck in onsets):
            return None
        return wide


def wide_chords(draft: Draft) -> Iterator[Message]:
    """A stretch near the limit of the hand, with the caution.

    Applies when: a chord, or several running, are more than two thirds of the way from an easy span to the hand's
    widest; or two of the fingers that take it, by the page or by lyfinger, are as near to how far they reach.
    Says: how wide they are, what would help, and the caution about hands; one message for chords that follow one
    another. A warning.
    Source: [T]; pain ends the argument: [P] Harp Column, "Playing in pain". Where wide begins is a setting.
    """
    widest = _Widest(draft.reach, _NEAR)
    for part in draft.parts:
        for number, passage in enumerate(part.passages):
            run: list[tuple[Struck, _Stretch]] = []
            for index, onset in enumerate(passage.passage.onsets):
                one = Struck(part, passage, index, number) if len(onset.strings) > 1 else None
                wide = widest.in_chord(one) if one is not None else None
                if one is not None and wide is not None:
                    run.append((one, wide))
                elif run:
                    yield _wide_message(run)
                    run = []
            if run:
                yield _wide_message(run)


def _wide_message(run: list[tuple[Struck, _Stretch]]) -> Message:
    first, last = run[0][0], run[-1][0]
    widest = max((wide for _, wide in run), key=lambda wide: wide.strings)
    if len(run) == 1:
        return first.message(Severity.WARNING, "wide-chords", f"{widest.text}{_help(first, widest)} ({CAUTION})")
    text = f"{len(run)} wide chords running, up to {interval(widest.strings)}, strain this hand: thin some ({CAUTION})"
    return first.message(Severity.WARNING, "wide-chords", text, last)


def _help(one: Struck, wide: _Stretch) -> str:
    """Who could take the outer note, or that one of three can be left out."""
    if wide.fingers == _OUTER and one.other_hand_is_free():
        outer = wide.low if one.hand is Hand.RIGHT else wide.high
        return f": the {one.hand.other} hand is free for {string_name(outer)}"
    return ": leave a note out" if len(one.onset.strings) > 2 else ""


def wide_placings(draft: Draft) -> Iterator[Message]:
    """A figure that is set as one wide shape, with the caution.

    Applies when: two strings of one placing, struck in turn, are more than three quarters of the way from an easy
    spread to the limit of the two fingers that take them.
    Says: how wide the shape is and for which fingers, and the caution about hands; shapes that are the same, in one
    hand, are one message at the first of them. A warning: the hand may open in passing, or be set in two.
    Source: fingers are set together: [P] Melody's Traditional Music, Brackets and Placing; that a stretch strains
    there too: [T]. Where wide begins is a setting.
    """
    widest = _Widest(draft.reach, _NEAR_IN_TURN)
    for part in draft.parts:
        for number, (passage, answer) in enumerate(zip(part.passages, part.answers, strict=False)):
            found: dict[tuple[int, int, tuple[int, int]], list[tuple[Struck, _Stretch]]] = {}
            for indices in part.placings_in_turn(number):
                onsets = [passage.passage.onsets[index].strings for index in indices]
                wide = widest.in_turn(onsets, _fingers(onsets, [answer.fingers[index] for index in indices]))
                if wide is not None:
                    first = Struck(part, passage, indices[0], number)
                    found.setdefault((wide.low, wide.high, wide.fingers), []).append((first, wide))
            for places in found.values():
                (first, wide), more = places[0], len(places) - 1
                others = f", and {more} more like it" if more else ""
                yield first.message(Severity.WARNING, "wide-placings", f"set together, {wide.text}{others} ({CAUTION})")


def _fingers(onsets: list[tuple[int, ...]], digits: list[tuple[int | None, ...]]) -> dict[int, int]:
    """The fingers of a placing by string; that of the last onset where one is struck again."""
    found: dict[int, int] = {}
    for strings, fingers in zip(onsets, digits, strict=True):
        for string, finger in zip(strings, fingers, strict=True):
            if finger is not None:
                found[string] = finger
    return found


def tiring_chords(draft: Draft) -> Iterator[Message]:
    """A long passage of wide chords, with the caution.

    Applies when: a hand plays twenty chords of an octave or more running, each within 600 ms of the one before.
    Says: how many, the caution about hands, and that they can be thinned. A warning.
    Source: [T] hands tire in octaves; pain ends the argument: [P] Harp Column, "Playing in pain". How many is a
    setting, from memory [M].
    """
    for part in draft.parts:
        for number, passage in enumerate(part.passages):
            wide = [onset.strings[-1] - onset.strings[0] + 1 >= _OCTAVE for onset in passage.passage.onsets]
            if sum(wide) < _TIRING:
                continue
            gaps = Struck(part, passage, 0, number).gaps()
            run: list[int] = []
            for index, is_wide in enumerate(wide):
                if run and not (is_wide and gaps.get(index, _RESTED) < _RESTED):
                    yield from _tiring_message(part, passage, run, number)
                    run = []
                if is_wide:
                    run.append(index)
            yield from _tiring_message(part, passage, run, number)


def _tiring_message(part: Part, passage: HandPassage, run: list[int], number: int) -> Iterator[Message]:
    if len(run) >= _TIRING:
        first, last = (Struck(part, passage, index, number) for index in (run[0], run[-1]))
        text = (
            f"{len(run)} chords of an octave and more without a rest tire the {first.hand} hand: thin some of them, "
            f"or let it rest ({CAUTION})"
        )
        yield first.message(Severity.WARNING, "tiring-chords", text, last)


def tenth_beside_thumb(draft: Draft) -> Iterator[Message]:
    """A tenth with a note next to the thumb's.

    Applies when: a chord of a tenth or more has a note on the string beside the thumb's.
    Says: that it strains the hand, and the caution about hands. A warning.
    Source: [P] The Harp Legacy Project, Typical Compositional Issues.
    """
    for part in draft.parts:
        for number, passage in enumerate(part.passages):
            for index, onset in enumerate(passage.passage.onsets):
                strings = onset.strings
                if len(strings) > 2 and strings[-1] - strings[0] + 1 >= _TENTH and strings[-1] - strings[-2] == 1:
                    text = _tenth(interval(strings[-1] - strings[0] + 1), string_name(strings[-2]))
                    one = Struck(part, passage, index, number)
                    yield one.message(Severity.WARNING, "tenth-beside-thumb", text)


def _tenth(name: str, beside: str) -> str:
    return f"{name} with {beside} beside the thumb strains the hand: leave {beside} out ({CAUTION})"


WITH_CAUTION = (wide_chords, wide_placings, tenth_beside_thumb, tiring_chords)
"""The rules whose findings bear the caution about hands."""
