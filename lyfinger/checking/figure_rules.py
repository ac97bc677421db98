"""Rules on figures: that the same music looks the same on the page."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import groupby

from ..fingering.model import Onset, Step
from ..marking.joint import Solved
from ..marking.passages import HandPassage
from ..source.messages import Message, Severity
from .draft import Draft, message

_LEAST = 3

Digits = tuple[tuple[int | None, ...], ...]
Ways = dict[Digits, list[range]]
Key = tuple[object, ...]


def figure_fingered_two_ways(draft: Draft) -> Iterator[Message]:
    """The same figure with different digits.

    Applies when: two bars of a hand, or two phrases between free lifts, of three onsets or more, are the same: the
    same distances in the same rhythm, on any string, with the same signs, and with the same onset (or a lift) before
    and after, since the neighbours' shape is a reason for other fingers. Digits that differ are all lyfinger's, in
    phrases without a digit on the page: where one of two ways was given, the other is planned around it. Or they are
    all the page's own and the strings are the same: on other strings, as in a drill, they are meant.
    Says: both ways, and where the more frequent one (of equals the first) stands; one message for each other way. A
    warning: write the digits alike, or lock those that are liked.
    Source: [T] what returns is fingered as it was.
    """
    for part in draft.parts:
        for passage, answer in zip(part.passages, part.answers, strict=False):
            reader = _Figures(passage, answer)
            for here, there, times in reader.findings():
                text = reader.text(here, there, times)
                found = passage.first(here.start)
                yield message(part.score, found, Severity.WARNING, "figure-fingered-two-ways", text)


class _Figures:
    """The figures of one hand's passage; a figure is a range of onsets.

    For each onset: its lowest string, a number for all that it has in common with onsets like it on other strings, and
    its moment on a grid of the score.
    """

    def __init__(self, passage: HandPassage, answer: Solved) -> None:
        self.passage = passage
        self.answer = answer
        self.onsets: tuple[Onset, ...] = passage.passage.onsets
        times = passage.score.times
        self.lowest = [onset.strings[0] for onset in self.onsets]
        self.likes = _numbered(self.onsets)
        self.moments = [times[strings[0][0]][0] for strings in passage.notes]

    def findings(self) -> Iterator[tuple[range, range, int]]:
        """A figure with the one that it differs from, and how often it occurs so; the shortest first, and none that
        holds another."""
        told: list[range] = []
        for ways in sorted(self._same().values(), key=lambda ways: len(next(iter(ways.values()))[0])):
            usual = max(ways.values(), key=len)
            for places in ways.values():
                if places is usual or not self._differ_for_no_reason(places[0], usual[0]):
                    continue
                if not any(set(one) <= set(places[0]) | set(usual[0]) for one in told):
                    told.append(places[0])
                    yield places[0], usual[0], len(places)

    def text(self, here: range, there: range, times: int) -> str:
        """Both ways and the other place."""
        first = self.passage.first(there.start)
        bars = self.passage.score.bars
        bar = f"bar {self.passage.score.bar_of(first).number}, " if bars else ""
        often = f" (as in {times} places)" if times > 1 else ""
        return (
            f"the figure of {bar}{first.source.place}, is fingered {self._spelled(here)} here{often} and "
            f"{self._spelled(there)} there"
        )

    def _spelled(self, figure: range) -> str:
        return " ".join("-".join(map(str, self.answer.fingers[index])) for index in figure)

    def _same(self) -> dict[Key, Ways]:
        """Every figure that occurs more than once, by the ways in which it is fingered."""
        found: dict[Key, Ways] = {}
        steps = {step.before: step for step in self.passage.passage.steps if step.after == step.before + 1}
        for figure in self._units():
            digits = self.answer.fingers[figure.start : figure.stop]
            if not any(None in fingers for fingers in digits):
                found.setdefault(self._key(figure, steps), {}).setdefault(digits, []).append(figure)
        return {key: ways for key, ways in found.items() if len(ways) > 1}

    def _units(self) -> list[range]:
        """Bars and phrases between lifts, long enough to be figures, each once, in order."""
        count = range(len(self.onsets))
        score = self.passage.score
        bars = [score.bar_of(self.passage.first(index)).start if score.bars else None for index in count]
        lifts = sorted(self.answer.lifts)
        phrases = [bisect_right(lifts, index) for index in count]
        units = {
            (group[0], group[-1] + 1)
            for numbers in (bars, phrases)
            for group in (list(indices) for _, indices in groupby(count, key=numbers.__getitem__))
            if len(group) >= _LEAST
        }
        return [range(*unit) for unit in sorted(units)]

    def _key(self, figure: range, steps: dict[int, Step]) -> Key:
        """What two figures that are the same have in common."""
        start, stop = figure.start, figure.stop
        base, moment = self.lowest[start], self.moments[start]
        return (
            tuple([low - base for low in self.lowest[start:stop]]),
            tuple(self.likes[start:stop]),
            tuple([later - moment for later in self.moments[start:stop]]),
            self._neighbour(start - 1, start, base, steps),
            self._neighbour(stop, stop, base, steps),
        )

    def _neighbour(self, index: int, entered: int, base: int, steps: dict[int, Step]) -> object:
        """The onset before or behind a figure, None where the hand lifts; ``entered`` is the later of the two."""
        if not 0 <= index < len(self.onsets) or entered in self.answer.lifts or entered - 1 not in steps:
            return None
        return self.lowest[index] - base, self.likes[index], steps[entered - 1].gap

    def _differ_for_no_reason(self, here: range, there: range) -> bool:
        """Whether all that differs is the page's own, or is ours and no digit of the page stands in either phrase."""
        given = [
            (self.onsets[one].locks[note] is not None, self.onsets[other].locks[note] is not None)
            for one, other in zip(here, there, strict=True)
            for note, finger in enumerate(self.answer.fingers[one])
            if finger != self.answer.fingers[other][note]
        ]
        if all(one and other for one, other in given):
            return self.onsets[here.start].strings == self.onsets[there.start].strings
        return not any(self._phrase_has_locks(figure) for figure in (here, there))

    def _phrase_has_locks(self, figure: range) -> bool:
        lifts = self.answer.lifts
        first = max((lift for lift in lifts if lift <= figure.start), default=0)
        last = min((lift for lift in lifts if lift >= figure.stop), default=len(self.onsets))
        return any(any(self.onsets[index].locks) for index in range(first, last))


def _numbered(onsets: Sequence[Onset]) -> list[int]:
    """A number for each onset, the same where they differ by no more than the height and what is written there."""
    known: dict[Onset, int] = {}
    met: dict[tuple[object, ...], int] = {}
    found = []
    for onset in onsets:
        look = (onset.strings, *onset[_PLAYED:])
        if look not in met:
            strings = tuple([string - onset.strings[0] for string in onset.strings])
            bare = onset._replace(strings=strings, keys=(), locks=(), orders=(), kept=(), stress=min(onset.stress, 1))
            met[look] = known.setdefault(bare, len(known))
        found.append(met[look])
    return found


_PLAYED = Onset._fields.index("orders") + 1
"""Where in an onset, behind its strings and what runs parallel to them, the rest begins."""
