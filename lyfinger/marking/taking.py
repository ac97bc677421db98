"""lyfinger's own signs taken out again: brackets, slides, signs for hands, and the head of a score that serves them.

Only what is written as in ``forms.py`` is taken for ours. A bracket goes as a whole, a line with either of its digits,
and the head with the last sign that needs it. Signs for hands stay, with a warning, where without them a note would
get another hand.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import NamedTuple

from ..hands.assign import assign
from ..score.model import HandWord, Note, Score, SourceNote
from ..source.cuts import Deletion
from ..source.messages import Message, Severity
from ..source.text import SourceFile
from .excerpt import Excerpt
from .forms import OUTSIDE, START, STOP, bracket_end, hand_sign_end, head_end, is_own_glide, place_of_head
from .handsigns import turned_notes, with_words
from .plan import Plan, RootPlan

_Stretch = tuple[SourceFile, int, int]
"""A sign: its file, its first offset and the one behind it."""
Deletions = dict[SourceFile, list[Deletion]]
_STAYS = "the signs for hands stay: without those that were chosen, notes would be read as the other hand's"


class OwnSigns(NamedTuple):
    """What goes out of each file beside digits, and a warning for each score whose signs for hands stay."""

    deletions: Deletions
    messages: tuple[Message, ...]


def own_signs(plan: Plan, cleared: Collection[SourceNote], settings: Mapping[str, str]) -> OwnSigns:
    """The signs of a plan's excerpt that go when the digits of ``cleared`` do; ``settings`` is ``[hands]``."""
    pairs = [(root, index) for root in plan.roots for index in range(len(root.scores))]
    scores = [root.scores[index] for root, index in pairs]
    found = {*_brackets(scores, plan.excerpt), *_loose_glides(scores, cleared)}
    hands = _chosen_hands(scores, plan.excerpt)
    needed = [pair for pair in pairs if _are_needed(*pair, hands, settings, plan.excerpt)]
    messages = [Message(Severity.WARNING, root.scores[index].place, _STAYS, "not-cleared") for root, index in needed]
    kept = {sign for root, index in needed for _, sign in _hand_signs(root.scores[index])}
    found |= set() if kept & hands else hands
    found |= {head for root in plan.roots for head in _head(root, found, cleared)}
    deletions: Deletions = {}
    for file, start, end in sorted(found, key=lambda sign: sign[1:]):
        deletions.setdefault(file, []).append(Deletion(start, end))
    return OwnSigns(deletions, tuple(messages))


def _voices(score: Score) -> Iterator[list[Note]]:
    """The notes of each voice, in order of time."""
    found: dict[int, list[Note]] = {}
    for note in score.notes:
        found.setdefault(note.voice, []).append(note)
    for notes in found.values():
        yield sorted(notes, key=lambda note: (note.moment, note.grace))


def _brackets(scores: Iterable[Score], excerpt: Excerpt) -> set[_Stretch]:
    """Our brackets of which both ends are chosen, wherever they sound."""
    going: set[_Stretch] = set()
    pairs: list[tuple[_Stretch, ...]] = []
    staying: set[_Stretch] = set()
    for score in scores:
        takes = excerpt.within(score)
        for notes in _voices(score):
            opened: dict[_Stretch, bool] = {}
            for note in notes:
                for sign, starts in _ends(note.source):
                    (going if takes(note) else staying).add(sign)
                    if starts:
                        opened[sign] = True
                    elif opened and sign not in opened:
                        pairs.append((opened.popitem()[0], sign))
    while more := {sign for pair in pairs if staying & set(pair) for sign in pair} - staying:
        staying |= more
    return going - staying


def _ends(source: SourceNote) -> Iterator[tuple[_Stretch, bool]]:
    """The ends of our brackets at a note's event: each, and whether it is a beginning."""
    file = source.place.file
    for start, end in source.groups:
        last = bracket_end(file, start, end)
        if last is not None:
            yield (file, start, last), START[1:] in file.text[start:end]


def _loose_glides(scores: Iterable[Score], cleared: Collection[SourceNote]) -> Iterator[_Stretch]:
    """Our slides from a digit that stays to one that goes."""
    for score in scores:
        for notes in _voices(score):
            waiting: dict[int | None, SourceNote] = {}
            for note in (note for note in notes if note.source.locked):
                source = note.source
                if source in cleared and (before := waiting.get(source.finger)):
                    digit = before.locked[0]
                    assert digit.glide is not None
                    yield digit.place.file, digit.glide, digit.place.offset
                waiting.pop(source.finger, None)
                if source not in cleared and is_own_glide(source.locked[0]):
                    waiting[source.finger] = source


def _hand_signs(score: Score) -> Iterator[tuple[HandWord, _Stretch]]:
    """Our signs for hands in a score."""
    for word in score.hand_words:
        file, start = word.place.file, word.place.offset
        end = None if word.comment else hand_sign_end(file, start)
        if end is not None:
            yield word, (file, start, end)


def _chosen_hands(scores: Iterable[Score], excerpt: Excerpt) -> set[_Stretch]:
    """Our signs for hands that stand at chosen notes, wherever they sound."""
    going: set[_Stretch] = set()
    staying: set[_Stretch] = set()
    for score in scores:
        takes = excerpt.within(score)
        chosen = {(note.voice, note.moment) for note in score.notes if takes(note)}
        for word, sign in _hand_signs(score):
            (going if (word.voice, word.moment) in chosen else staying).add(sign)
    return going - staying


def _are_needed(
    root: RootPlan, index: int, signs: Collection[_Stretch], settings: Mapping[str, str], excerpt: Excerpt
) -> bool:
    """Whether notes of a score would change hands if these signs went."""
    score = root.scores[index]
    gone = {word.place for word, sign in _hand_signs(score) if sign in signs}
    if not gone:
        return False
    words = (word for word in score.hand_words if word.place not in gone)
    return bool(turned_notes(root.hands[index], assign(with_words(score, words), settings, excerpt.staves)))


def _head(root: RootPlan, signs: Collection[_Stretch], cleared: Collection[SourceNote]) -> Iterator[_Stretch]:
    """The head of a root, if no bracket, no digit beside a chord and none outside a slur is left that it is for."""
    file = root.reading.root
    start, end = place_of_head(file), head_end(file)
    if start is None or end is None:
        return
    files = set(root.reading.files)
    ends = sum(one.text.count(START[1:]) + one.text.count(STOP[1:]) for one in files)
    gone = sum(1 for one, first, last in signs if one in files and "Group" in one.text[first:last])
    beside = (note.source for score in root.scores for note in score.notes if note.source.chord is not None)
    stays = OUTSIDE in file.text[start:end] and any(
        note.source.locked and note.source not in cleared for score in root.scores for note in score.notes
    )
    if gone == ends and not stays and not any(_is_beside(source) for source in beside if source not in cleared):
        yield file, start, end


def _is_beside(source: SourceNote) -> bool:
    return any(digit.place.file.text.startswith("-", digit.place.offset) for digit in source.locked)
