"""Signs for the hand (L.H., R.H.) where a hand leaves its staff, and where the staff's own hand comes back.

A hand word is evidence for the notes behind it, whoever reads the page next: so the words that would go in are tried
out first, and where any note would get another hand, that voice gets none and a warning says so. Source: common
practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from ..hands.assign import assign, staff_hands
from ..hands.evidence import ends_of_words
from ..hands.model import Hand, Hands
from ..score.model import HandWord, Note, Reading, Score
from ..source.edits import Insertion
from ..source.messages import Message, Refused, Severity
from ..source.text import Place
from .brackets import Texts
from .excerpt import Excerpt
from .forms import hand_sign
from .side import SIGN, digit_side

if TYPE_CHECKING:
    from .plan import RootPlan

_LEFT_OUT = "no hand signs in this voice: with them other notes would be read as that hand's, or its uses don't agree"
_Voice = tuple[int, int]
"""A voice of the run: the number of its score, and its index there."""


class _Event(NamedTuple):
    """What one voice plucks at one moment. ``hand`` is None where that is not one hand's; ``home`` is the staff's."""

    note: Note
    hand: Hand | None
    home: Hand | None

    @property
    def key(self) -> Place:
        """Where its sign goes: the end of the event; the note itself where nothing can stand there."""
        source = self.note.source
        return source.place if source.behind is None else Place(source.place.file, source.behind)


class _Wish(NamedTuple):
    """A sign that one sounding wants."""

    event: _Event
    hand: Hand


_Wishes = dict[_Voice, list[_Wish]]


@dataclass(frozen=True, slots=True)
class HandSigns:
    """The signs that go into each file, and a warning for each voice that is left without."""

    texts: Texts
    messages: tuple[Message, ...]


def hand_signs(roots: Iterable[RootPlan], settings: Mapping[str, str], excerpt: Excerpt) -> HandSigns:
    """The signs of a run; ``settings`` is ``[hands]``. Each stands at all soundings of its note alike, and no note is
    the other hand's because of them."""
    pairs = [pair for root in roots for pair in zip(root.scores, root.hands, strict=True)]
    uses: Counter[Place] = Counter()
    wishes: _Wishes = {}
    for number, (score, hands) in enumerate(pairs):
        takes = excerpt.within(score)
        for voice, events in _events(score, hands, staff_hands(score, settings, excerpt.staves)).items():
            uses.update(event.key for event in events)
            wishes[number, voice] = [
                wish
                for run in _runs(_wishes(score, voice, events))
                if all(takes(wish.event.note) for wish in run)
                for wish in run
            ]
    bad = _disagreeing(wishes, uses)
    while more := _turned(pairs, _without(wishes, bad), settings, excerpt):
        bad = _with_those_that_share(wishes, bad | more)
    messages = (
        Message(Severity.WARNING, wishes[one][0].event.note.source.place, _LEFT_OUT, "sign-left-out")
        for one in sorted(bad)
    )
    return HandSigns(_texts(_without(wishes, bad)), tuple(messages))


def _events(score: Score, hands: Hands, homes: Sequence[Hand | None]) -> dict[int, list[_Event]]:
    """What each voice of a score plucks, in order of time."""
    found: dict[int, dict[tuple[Fraction, Fraction], list[int]]] = {}
    for index, note in enumerate(score.notes):
        if note.plucked:
            found.setdefault(note.voice, {}).setdefault((note.moment, note.grace), []).append(index)

    def event(indices: list[int]) -> _Event:
        whose = {hands.hands[index] for index in indices}
        first = indices[0]
        return _Event(score.notes[first], next(iter(whose)) if len(whose) == 1 else None, homes[first])

    return {voice: [event(times[time]) for time in sorted(times)] for voice, times in found.items()}


def _wishes(score: Score, voice: int, events: Sequence[_Event]) -> Iterator[_Wish]:
    """The signs that a voice wants: where its hand is not the staff's and nothing has said so, where it is again, and
    where a word that still holds says otherwise."""
    words = sorted((word for word in score.hand_words if word.voice == voice and not word.comment), key=_moment)
    end = ends_of_words(score, voice)
    shown: Hand | None = None
    holds: tuple[Hand, Fraction | None] | None = None
    for event in events:
        moment, at_note = event.note.moment, False
        while words and words[0].moment <= moment:
            word = words.pop(0)
            if word.hand:
                shown = Hand(word.hand)
                holds, at_note = (shown, end(word.moment)), word.moment == moment
        if event.hand is None:
            continue
        held = holds[0] if holds and (holds[1] is None or moment < holds[1]) else None
        away = event.hand is not event.home
        untold = shown is not event.hand if away else shown not in (None, event.hand)
        if (untold or held not in (None, event.hand)) and not at_note:
            holds = (event.hand, end(moment))
            yield _Wish(event, event.hand)
        shown = event.hand if away else None


def _moment(word: HandWord) -> Fraction:
    return word.moment


def _runs(wishes: Iterable[_Wish]) -> Iterator[list[_Wish]]:
    """Signs that go in together or not at all: from a departure to the return."""
    run: list[_Wish] = []
    for wish in wishes:
        if run and wish.hand is not wish.event.home:
            yield run
            run = []
        run.append(wish)
    if run:
        yield run


def _without(wishes: _Wishes, bad: set[_Voice]) -> _Wishes:
    return {voice: found for voice, found in wishes.items() if voice not in bad and found}


def _disagreeing(wishes: _Wishes, uses: Counter[Place]) -> set[_Voice]:
    """Voices with a sign that not every sounding of its note wants, or for which there is no room."""
    wanted: dict[Place, list[Hand]] = {}
    for found in wishes.values():
        for wish in found:
            wanted.setdefault(wish.event.key, []).append(wish.hand)
    agreed = {key for key, hands in wanted.items() if len(set(hands)) == 1 and len(hands) == uses[key]}
    return _with_those_that_share(
        wishes,
        {
            voice
            for voice, found in wishes.items()
            if any(wish.event.key not in agreed or wish.event.note.source.behind is None for wish in found)
        },
    )


def _with_those_that_share(wishes: _Wishes, bad: set[_Voice]) -> set[_Voice]:
    """Some voices and all that would stand with fewer of their signs if these went."""
    while True:
        gone = {wish.event.key for voice in bad for wish in wishes[voice]}
        more = {voice for voice, found in wishes.items() if any(wish.event.key in gone for wish in found)}
        if more <= bad:
            return bad
        bad = bad | more


def _turned(
    pairs: Sequence[tuple[Score, Hands]], wishes: _Wishes, settings: Mapping[str, str], excerpt: Excerpt
) -> set[_Voice]:
    """Voices with signs because of which a note would get another hand: its own voice, else all of that score."""
    found: set[_Voice] = set()
    for number, (score, hands) in enumerate(pairs):
        own = {voice for voice in wishes if voice[0] == number}
        words = [_word(voice[1], wish) for voice in own for wish in wishes[voice]]
        if words:
            again = assign(with_words(score, [*score.hand_words, *words]), settings, excerpt.staves)
            turned = {(number, score.notes[index].voice) for index in turned_notes(hands, again)}
            found |= (turned & own or own) if turned else set()
    return found


def _word(voice: int, wish: _Wish) -> HandWord:
    return HandWord(wish.event.key, wish.event.note.moment, voice, wish.hand, False)


def with_words(score: Score, words: Iterable[HandWord]) -> Score:
    """A score with these hand words in place of its own."""
    other = copy(score)
    other.hand_words = list(words)
    return other


def turned_notes(before: Hands, after: Hands) -> list[int]:
    """The notes (indices) of a score that are another hand's after something was put in or taken out."""
    crowded = before.crowded ^ after.crowded
    pairs = enumerate(zip(before.hands, after.hands, strict=True))
    return [index for index, (one, other) in pairs if one is not other or index in crowded]


def refuse_unless_same_hands(
    root: RootPlan, again: Reading, settings: Mapping[str, str], staves: Sequence[str]
) -> None:
    """Raise Refused, an internal error, unless every note of a root, read again, is the hand's that it was."""
    scores = [score for score in again.scores if score.printed]
    for score, hands, other in zip(root.scores, root.hands, scores, strict=True):
        for index in turned_notes(hands, assign(other, settings, staves)):
            text = "internal error: this note would be read as the other hand's; nothing is written"
            raise Refused(text, score.notes[index].source.place)


def _texts(wishes: _Wishes) -> Texts:
    sides: dict[Place, set[tuple[int, str]]] = {}
    hands: dict[Place, Hand] = {}
    for found in wishes.values():
        for wish in found:
            hands[wish.event.key] = wish.hand
            sides.setdefault(wish.event.key, set()).add((wish.event.note.side, wish.hand))
    texts: Texts = {}
    for key, hand in hands.items():
        sign = SIGN[digit_side(sides[key])]
        texts.setdefault(key.file, []).append(Insertion(key.offset, hand_sign(hand, sign)))
    return texts
