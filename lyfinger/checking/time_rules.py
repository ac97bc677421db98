"""Rules on what there is no time for: strings that still sound, leaps, figures that the fingers run out on.

Nobody publishes a limit in notes a second: every number of milliseconds here is a setting, from memory.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby, pairwise
from typing import NamedTuple

from ..fingering.model import Step
from ..harp.reach import Reach
from ..score.model import Bar
from ..score.pitch import Pitch, string_name, twin
from ..source.messages import Message, Severity
from .draft import Draft, Part, Struck, hands, in_words, interval, struck

_WIRE = 18
"""The highest string, G2, that is taken for a bass wire, which swings widest. From memory."""
_AGAIN, _AGAIN_ONCE = 200, 150
_RUNNING = 3
_HURRY = 160
_BLUR = 4
_LEAP_MILLIMETRES_A_SECOND = 400
_FIVE = 5
_THIRD = 3


class _Walk(NamedTuple):
    """From one onset of a hand to the next that is played, in so many milliseconds."""

    before: Struck
    after: Struck
    gap: int


def _walks(draft: Draft) -> list[list[_Walk]]:
    """The steps of each hand in performing order of printing, those between or inside grace notes left out: how long
    they last is the player's own affair."""
    found: list[list[_Walk]] | None = draft.memo.get("walks")
    if found is None:
        found = draft.memo["walks"] = [
            [_walk(here, step) for step in here[0].passage.passage.steps if not _in_grace(here, step)]
            for here in hands(draft)
            if here
        ]
    return found


def _walk(here: Sequence[Struck], step: Step) -> _Walk:
    return _Walk(here[step.before], here[step.after], step.gap)


def _in_grace(here: Sequence[Struck], step: Step) -> bool:
    return here[step.before].onset.grace or here[step.after].onset.grace


def string_struck_again(draft: Draft) -> Iterator[Message]:
    """A string struck again before it has had time to sound.

    Applies when: one hand plucks a string twice running within 150 ms, or four times or more within 200 ms each; from
    G2 down, where strings swing wide, within half as long again. Grace notes, trills and tremolos are left to
    themselves, and so is a rolled chord, which takes its own time.
    Says: the note and the time; and the twin that would serve turn about, that it is in use, or that none exists. A
    warning; a run of them is one message.
    Source: [P] a fast repeat is poor writing, a finger put back damps the string: T. Goss, Orchestration Online; twins:
    Sibelius Academy, Harp Notation. The milliseconds are from memory [M].
    """
    for walks in _walks(draft):
        for same, run in groupby(walks, key=_struck_too_soon):
            steps = list(run)
            gap = min(step.gap for step in steps)
            if same and (len(steps) >= _RUNNING or gap < _soon(same[0], _AGAIN_ONCE)):
                first = steps[0].before
                names = in_words([note.pitch.name for note in first.notes if note.pitch.string in same])
                often = f", {len(steps)} times running" if len(steps) > 1 else ""
                text = f"{names} struck again after {gap} ms{often}: {_twin_text(first, same[0])}"
                yield steps[0].after.message(Severity.WARNING, "string-struck-again", text, steps[-1].after)


def _struck_too_soon(walk: _Walk) -> tuple[int, ...]:
    """The strings that a step strikes again too soon for it to go on."""
    if walk.gap >= _soon(_WIRE, _AGAIN):  # nor on a shorter string then
        return ()
    first, second = walk.before.onset, walk.after.onset
    if first.trill or second.trill or second.rolled:
        return ()
    common = sorted(set(first.strings) & set(second.strings))
    return tuple(string for string in common if walk.gap < _soon(string, _AGAIN))


def _soon(string: int, milliseconds: int) -> int:
    """How soon is too soon on a string."""
    return milliseconds * 3 // 2 if string <= _WIRE else milliseconds


def _twin_text(one: Struck, string: int) -> str:
    pitch = next(note.pitch for note in one.notes if note.pitch.string == string)
    other = twin(pitch)
    if other is None:
        return f"it has no twin (D, G and A natural have none); {_way_without_twin(one)}"
    in_use = _in_use(one, other)
    if in_use is not None:
        return f"its twin {other.name} can't serve while {in_use} is in use; {_way_without_twin(one)}"
    return f"its twin {other.name} would serve, turn about"


def _way_without_twin(one: Struck) -> str:
    if one.other_hand_is_free():
        return f"share it with the {one.hand.other} hand, which is free"
    return "leave every other note out"


def _in_use(one: Struck, wanted: Pitch) -> str | None:
    """A note that alters the letter of a pitch otherwise, in the same bar of the same player or held into it."""
    score, players = one.part.score, one.part.hands.players
    before, start, end = _bar_around(score.bars_of(one.notes[0].staff), one.time[0])
    first = bisect_left(score.notes, before, key=lambda note: note.moment)
    for note, player in zip(score.notes[first:], players[first:], strict=True):
        if end is not None and note.moment >= end:
            break
        sounds = note.moment >= start or note.moment + note.duration > start
        otherwise = note.pitch.step == wanted.step and note.pitch.alter != wanted.alter
        if sounds and otherwise and player == one.passage.player:
            return note.pitch.name
    return None


def _bar_around(bars: Sequence[Bar], moment: Fraction) -> tuple[Fraction, Fraction, Fraction | None]:
    """Where the bar before a moment's bar begins, the bar itself, and the next one (None: the music ends with it)."""
    if not bars:
        return Fraction(0), Fraction(0), None
    at = max(bisect_right(bars, moment, key=lambda bar: bar.start) - 1, 0)
    return bars[max(at - 1, 0)].start, bars[at].start, bars[at + 1].start if at + 1 < len(bars) else None


def tremolo_without_twin(draft: Draft) -> Iterator[Message]:
    """A tremolo on one note that no second string can give.

    Applies when: a single note has a tremolo and its sound has no twin (D, G or A natural), or the twin's letter is in
    use in another alteration. A tremolo between two or more strings is left alone.
    Says: the note, and what there is instead. A warning.
    Source: [P] Sibelius Academy, Harp Notation (twins; tremolo).
    """
    for one in struck(draft):
        if not one.onset.trill or len(one.onset.strings) > 1 or "tremolo" not in one.marks:
            continue
        pitch = one.notes[0].pitch
        other = twin(pitch)
        in_use = None if other is None else _in_use(one, other)
        if other is None:
            text = f"a tremolo on {pitch.name}, which has no twin: add a second note to go to and fro with"
        elif in_use:
            text = f"a tremolo on {pitch.name}, whose twin {other.name} can't serve while {in_use} is in use"
        else:
            continue
        yield one.message(Severity.WARNING, "tremolo-without-twin", text)


def low_fast_bass(draft: Draft) -> Iterator[Message]:
    """Low notes that run too fast to be heard apart.

    Applies when: four onsets or more of a hand on strings from G2 down follow one another within 160 ms each: the
    strings still swing, buzz against the fingers set among them, and blur.
    Says: the notes' time, and the way out. A warning.
    Source: [P] a finger on a sounding string damps it and may buzz, worse in the bass: Sibelius Academy, Harp Notation;
    T. Goss, Orchestration Online. How low and how fast is from memory [M].
    """
    for walks in _walks(draft):
        for low, run in groupby(walks, key=_runs_low):
            steps = list(run)
            if low and len(steps) >= _BLUR - 1:
                gap = min(step.gap for step in steps)
                text = (
                    f"{len(steps) + 1} low notes running, {gap} ms apart, will buzz and blur: write them an octave "
                    "higher, or leave every other one out"
                )
                yield steps[0].before.message(Severity.WARNING, "low-fast-bass", text, steps[-1].after)


def _runs_low(walk: _Walk) -> bool:
    strings = (walk.before.onset.strings[0], walk.after.onset.strings[0])
    forward = walk.after.index == walk.before.index + 1
    return forward and walk.gap <= _HURRY and max(strings) <= _WIRE and strings[0] != strings[1]


def leap(draft: Draft) -> Iterator[Message]:
    """A leap with no time for it.

    Applies when: from one onset to the next a hand has to travel further than it reaches, and the rest of the way
    takes more time than there is, at 400 mm a second. Behind a glissando it is on its way already.
    Says: from where to where, in how long, and the hand that is free for the far note. A warning; the same leap in
    other places is told once.
    Source: common practice [T]; how fast a hand leaps and is set is from memory [M].
    """
    for walks in _walks(draft):
        found: dict[tuple[tuple[int, ...], tuple[int, ...]], list[_Walk]] = {}
        for walk in walks:
            if _leaps(walk, draft.reach):
                found.setdefault((walk.before.onset.strings, walk.after.onset.strings), []).append(walk)
        for places in found.values():
            first = places[0]
            more = f", and {len(places) - 1} more like it" if len(places) > 1 else ""
            text = f"{_leap_width(first)} in {first.gap} ms leaves no time to leap{more}: {_leap_way_out(first)}"
            yield first.after.message(Severity.WARNING, "leap", text)


def _leaps(walk: _Walk, reach: Reach) -> bool:
    low, high = _ends(walk)
    further = reach.span(low, high) - reach.hand.reach
    return not walk.before.onset.glissando and further > walk.gap * _LEAP_MILLIMETRES_A_SECOND


def _ends(walk: _Walk) -> tuple[int, int]:
    strings = (*walk.before.onset.strings, *walk.after.onset.strings)
    return min(strings), max(strings)


def _leap_width(walk: _Walk) -> str:
    low, high = _ends(walk)
    rises = walk.after.onset.strings[-1] == high
    start, end = (low, high) if rises else (high, low)
    return f"{string_name(start)} to {string_name(end)}, {interval(high - low + 1)},"


def _leap_way_out(walk: _Walk) -> str:
    if walk.before.other_hand_is_free(walk.after.time[0]):
        names = in_words([string_name(string) for string in walk.after.onset.strings])
        return f"the {walk.after.hand.other} hand is free for {names}"
    return "bring them nearer by an octave, or give the hand a rest"


def five_notes_no_slide(draft: Draft) -> Iterator[Message]:
    """Five fast notes in one direction with nothing to slide on.

    Applies when: just five single notes follow one another in one direction, each within 160 ms, no two of them on
    neighbouring strings; and the fingers that take them, by the page or by lyfinger, need a hop or a crossing wider
    than a third.
    Says: the notes, the place where the hand has to move, and the way out. A warning; the same figure in other places
    is told once.
    Source: [P] E. Volpé Bligh, Writing for the Pedal Harp (five notes: a slide, or a hop where it is not fast). How
    fast, and how wide a crossing may be, is from memory [M].
    """
    for part in draft.parts:
        for number in range(len(part.answers)):
            found: dict[tuple[int, ...], list[list[Struck]]] = {}
            for figure in _fives(part, number):
                if _awkward(figure) is not None:
                    found.setdefault(tuple(one.onset.strings[0] for one in figure), []).append(figure)
            for figures in found.values():
                yield _five_message(figures)


def _fives(part: Part, number: int) -> Iterator[list[Struck]]:
    """Every figure of just five single notes in one direction and in a hurry, without neighbouring strings."""
    onsets = part.passages[number].passage.onsets
    gaps = Struck(part, part.passages[number], 0, number).gaps()
    signs = [_direction(onsets[i].strings, onsets[i + 1].strings, gaps.get(i + 1)) for i in range(len(onsets) - 1)]
    at = 0
    for sign, run in groupby(signs):
        length = len(list(run))
        figure = range(at, at + length + 1)
        at += length
        if sign and length == _FIVE - 1 and not any(onsets[index].grace for index in figure):
            strings = [onsets[index].strings[0] for index in figure]
            if all(abs(one - other) > 1 for one, other in pairwise(strings)):
                yield [Struck(part, part.passages[number], index, number) for index in figure]


def _direction(before: tuple[int, ...], after: tuple[int, ...], gap: int | None) -> int:
    """1 up, -1 down, 0 where the figure does not go on."""
    if len(before) > 1 or len(after) > 1 or gap is None or gap > _HURRY or before == after:
        return 0
    return 1 if after > before else -1


def _awkward(figure: list[Struck]) -> int | None:
    """The index of the note before which the hand hops, or crosses further than a third."""
    placings = figure[0].part.answers[figure[0].number].placings
    for rank, (before, after) in enumerate(pairwise(figure)):
        fingers = (*(before.digits or ()), *(after.digits or ()))
        wide = abs(before.onset.strings[0] - after.onset.strings[0]) + 1 > _THIRD
        moves = placings[before.index] != placings[after.index]
        if len(fingers) == 2 and (fingers[0] == fingers[1] or (moves and wide)):
            return rank
    return None


def _five_message(figures: list[list[Struck]]) -> Message:
    figure = figures[0]
    rank = _awkward(figure) or 0
    before, after = (figure[rank + step].onset.strings[0] for step in (0, 1))
    low = min(figure, key=lambda one: one.onset.strings)
    more = f", and {len(figures) - 1} more like it" if len(figures) > 1 else ""
    way_out = f"the {low.hand.other} hand is free for {string_name(low.onset.strings[0])}"
    if not low.other_hand_is_free():
        way_out = "leave a note out"
    text = (
        f"five fast notes and no neighbouring strings to slide on, the hand has to move between {string_name(before)} "
        f"and {string_name(after)}{more}: {way_out}"
    )
    return figure[0].message(Severity.WARNING, "five-notes-no-slide", text, figure[-1])
