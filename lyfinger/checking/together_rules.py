"""Rules on two hands at one harp: each string once, and room for both."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from ..hands.model import Hand
from ..harp.reach import Reach
from ..score.pitch import string_name
from ..source.messages import Message, Severity
from .draft import Draft, Struck, hands, in_words, interval, struck

_SET_AHEAD = 400
"""Milliseconds for which fingers are taken to be on their strings before they play. A setting, from memory."""
_SIXTH = 6
_THREE = 3


def both_hands_one_string(draft: Draft) -> Iterator[Message]:
    """One string for both hands at one moment.

    Applies when: the two hands of a player have to pluck the same string at the same moment. (One letter in two
    alterations is another rule's.)
    Says: the string, and the hand to leave it to: the one that has less to do then. An error.
    Source: derived: a string is plucked by one finger.
    """
    for pair in _players(draft):
        at_once = dict(zip(pair.left.times, pair.left.onsets, strict=True))
        for time, right in zip(pair.right.times, pair.right.onsets, strict=True):
            left = at_once.get(time)
            if left is None or set(right.onset.strings).isdisjoint(left.onset.strings):
                continue
            common = [one for one in right.pitches if one in left.pitches]
            if common:
                keeper = right if len(right.onset.strings) <= len(left.onset.strings) else left
                names = in_words([pitch.name for pitch in common])
                text = f"{names} for both hands at once: leave {names} to the {keeper.hand} hand"
                yield (left if keeper is right else right).message(Severity.ERROR, "both-hands-one-string", text)


def hands_tangled(draft: Draft) -> Iterator[Message]:
    """Both hands in one another's strings.

    Applies when: strings that the hands strike at one moment, or are set on to strike next within their placings, lie
    between one another, so that neither hand is wholly above the other. Hands that are crossed are not tangled, nor
    is a string that one hand takes over from the other.
    Says: the strings, and the hands that could share them out; moments that follow one another are one message. A
    warning.
    Source: common practice [T]; how early fingers are set is from memory [M].
    """
    for pair in _players(draft):
        tangles: list[_Tangle] = []
        for tangle in pair.moments():
            if tangle.is_one:
                tangles.append(tangle)
            elif tangles:
                yield _tangle_message(tangles, draft.reach)
                tangles = []
        if tangles:
            yield _tangle_message(tangles, draft.reach)


def harmonics_at_once(draft: Draft) -> Iterator[Message]:
    """More harmonics than a hand can play.

    Applies when: the right hand has two harmonics or more at one moment; or the left hand more than three, or three
    that are wider than six strings.
    Says: how many there are, how many can be, and whether the other hand is free. A warning.
    Source: [P] right hand one, left hand two common: T. Goss, Orchestration Online; three, rare and within six
    strings: harpnotation.com, Triple harmonics.
    """
    for one in struck(draft):
        if not one.onset.thumb_only:
            continue
        strings = [note.pitch.string for note in one.notes if "flageolet" in note.marks]
        width = strings[-1] - strings[0] + 1 if strings else 0
        if one.hand is Hand.RIGHT and len(strings) > 1:
            text = f"{len(strings)} harmonics at once for the right hand, which plays one at a time"
        elif one.hand is Hand.LEFT and len(strings) > _THREE:
            text = f"{len(strings)} harmonics at once for the left hand: two, or three within six strings"
        elif one.hand is Hand.LEFT and len(strings) == _THREE and width > _SIXTH:
            text = f"three harmonics over {interval(width)}: the left hand plays three within six strings"
        else:
            continue
        yield one.message(Severity.WARNING, "harmonics-at-once", text + _harmonics_way_out(one, strings))


def _harmonics_way_out(one: Struck, strings: Sequence[int]) -> str:
    if not one.other_hand_is_free():
        return "; leave one out, or write it as a plain note"
    if one.hand is Hand.LEFT:
        return f"; the right hand is free for {string_name(strings[-1])}"
    going = strings if len(strings) <= 2 else strings[:2]
    return f"; the left hand is free for {in_words([string_name(string) for string in going])}"


class _Tangle(NamedTuple):
    """What each hand is on at a moment, ascending, and the onset that is struck then (the right hand's first)."""

    right: tuple[int, ...]
    left: tuple[int, ...]
    first: Struck

    @property
    def is_one(self) -> bool:
        """Whether neither hand is above the other, whichever of them a common string is left to."""
        if not _among(self.right, self.left):  # nor then with fewer strings
            return False
        common = {*self.right} & {*self.left}
        return all(
            _among(right, left)
            for right, left in (
                ([string for string in self.right if string not in common], self.left),
                (self.right, [string for string in self.left if string not in common]),
            )
        )


def _among(right: Sequence[int], left: Sequence[int]) -> bool:
    return bool(right and left) and left[0] < right[-1] and right[0] < left[-1]


class _Hand(NamedTuple):
    """The onsets of one hand, each with its time on a grid of the score, and by how many ms each follows the last."""

    onsets: list[Struck]
    times: list[tuple[int, int]]
    gaps: dict[int, int]

    def on(self, index: int, strikes: bool) -> tuple[int, ...]:
        """The strings from an onset on that its placing has still to play; nothing where the hand is not set yet."""
        if index == len(self.onsets):
            return ()
        one = self.onsets[index]
        placings = one.part.answers[one.number].placings if one.part.answers else ()
        if not strikes and not (placings and index and placings[index] == placings[index - 1]):
            return ()
        strings, passed = one.onset.strings, 0
        for later in range(index + 1, len(self.onsets)):
            passed += self.gaps.get(later, _SET_AHEAD)
            if passed >= _SET_AHEAD or not placings or placings[later] != placings[index]:
                break
            strings = (*strings, *self.onsets[later].onset.strings)
        return strings if strings is one.onset.strings else tuple(sorted({*strings}))


class _Pair(NamedTuple):
    """A player's two hands."""

    right: _Hand
    left: _Hand

    def moments(self) -> Iterator[_Tangle]:
        """What the hands are on whenever one of them strikes, in order of time."""
        at = [0, 0]
        while coming := [hand.times[index] for hand, index in zip(self, at, strict=True) if index < len(hand.times)]:
            time = min(coming)
            strikes = [hand.times[index : index + 1] == [time] for hand, index in zip(self, at, strict=True)]
            first = strikes.index(True)
            yield _Tangle(
                self.right.on(at[0], strikes[0]), self.left.on(at[1], strikes[1]), self[first].onsets[at[first]]
            )
            for which, hand in enumerate(self):
                while at[which] < len(hand.times) and hand.times[at[which]] == time:
                    at[which] += 1


def _players(draft: Draft) -> list[_Pair]:
    """Each player that has music for both hands, worked out once for a draft."""
    found: list[_Pair] | None = draft.memo.get("pairs")
    if found is None:
        found = draft.memo["pairs"] = list(_pairs(draft))
    return found


def _pairs(draft: Draft) -> Iterator[_Pair]:
    listed = [onsets for onsets in hands(draft) if onsets]
    for part in draft.parts:
        at = part.score.grid.at
        for player in sorted({passage.player for passage in part.passages}):
            own = [onsets for onsets in listed if onsets[0].part is part and onsets[0].passage.player == player]
            right, left = ([one for one in own if one[0].hand is hand] for hand in (Hand.RIGHT, Hand.LEFT))
            if right and left:
                yield _Pair(_hand(right[0], at), _hand(left[0], at))


def _hand(onsets: list[Struck], at: Callable[[Fraction], int]) -> _Hand:
    times = [one.time for one in onsets]
    return _Hand(onsets, [(at(moment), at(grace)) for moment, grace in times], onsets[0].gaps())


def _tangle_message(tangles: list[_Tangle], reach: Reach) -> Message:
    first = tangles[0]
    right, left = (in_words([string_name(string) for string in hand]) for hand in (first.right, first.left))
    more = f", and {len(tangles) - 1} moments more" if len(tangles) > 1 else ""
    text = f"both hands among the same strings, right on {right}, left on {left}{more}: {_untangled(first, reach)}"
    last = tangles[-1].first
    same_hand = last if last.hand is first.first.hand else None
    return first.first.message(Severity.WARNING, "hands-tangled", text, same_hand)


def _untangled(tangle: _Tangle, reach: Reach) -> str:
    """Who could take what instead: one hand all of it, or each the part on its own side."""
    strings = tuple(sorted({*tangle.right, *tangle.left}))
    if reach.takes(strings):
        return "one hand can take them all"
    for cut in sorted(range(1, len(strings)), key=lambda cut: abs(2 * cut - len(strings))):
        if reach.takes(strings[:cut]) and reach.takes(strings[cut:]):
            return f"give the right hand what lies from {string_name(strings[cut])} up, the left hand the rest"
    return "set them apart by an octave"
