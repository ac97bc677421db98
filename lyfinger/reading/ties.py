"""Which notes ties lead to, as the typesetter's Tie_engraver finds it (2.25.12, measured).

It sits in a voice and looks at the heads of one time step after another. A head takes the first of the open ties that
began at a note of its pitch, else the first of its sound (D♭ and C♯). A tie made, or a new one begun, ends all that are
open, unless ``tieWaitForNote`` keeps them; a tie whose note has ended is given up before the next step.
"""

from __future__ import annotations

from fractions import Fraction

from ..score.pitch import Pitch, semitones
from .collect import Collection, Gap, Sounding, Stamp
from .contexts import Context

WAITING = "tieWaitForNote"

Step = tuple[Fraction, Fraction]
"""A moment and a grace moment."""


def resolve_ties(collection: Collection) -> None:
    """Marks the notes that ties lead to, of soundings in the order of time.

    A tie outside a chord holds for all that its voice plays at the moment, or, where it stands on a spacer and nothing
    is played, when something next is. So does the half tie of a ``\\repeatTie``, at its own moment.
    """
    soundings = collection.soundings
    early = _on_spacers(collection.gaps)
    half_ties = {(item.voice, item.moment, item.grace) for item in collection.half_ties}
    tying = (
        {item.voice for item in soundings if item.tie} | early.keys() | {item.voice for item in collection.half_ties}
    )
    if not tying:
        return
    ties = {(item.voice, item.moment, item.grace) for item in soundings if item.tie and not item.tie_alone}
    waits = [stamp for stamp in collection.stamps if stamp.what == WAITING]
    engravers: dict[Context, _Ties] = {}
    for sounding in soundings:
        voice = sounding.voice
        if voice not in tying:
            continue
        here = (voice, sounding.moment, sounding.grace)
        if voice in early and early[voice][0] <= here[1:]:
            ties.add(here)
            _forget_until(early, voice, here[1:])
        if half_ties and here in half_ties:
            sounding.tied = True
        if not sounding.tie and here in ties:
            sounding.tie = True
            sounding.marks |= {"tieStart"}
        engraver = engravers.get(voice)
        if engraver is not None:
            engraver.hear(sounding)
        elif sounding.tie:
            engraver = engravers[voice] = _Ties(_turns(waits, voice))
            engraver.hear(sounding)


def _on_spacers(gaps: list[Gap]) -> dict[Context, list[Step]]:
    """When each voice has a tie on a spacer or rest: it is kept until there are heads."""
    found: dict[Context, list[Step]] = {}
    for gap in gaps:
        if "tieStart" in gap.marks:
            found.setdefault(gap.voice, []).append((gap.moment, gap.grace))
    for steps in found.values():
        steps.sort()
    return found


def _forget_until(early: dict[Context, list[Step]], voice: Context, step: Step) -> None:
    later = [other for other in early.pop(voice) if other > step]
    if later:
        early[voice] = later


class _Ties:
    """The ties of one voice: ``open`` ones wait for heads, those ``begun`` in the time step ``now`` join them after it.

    ``turns`` are when ``tieWaitForNote`` was switched on and off.
    """

    __slots__ = ("begun", "made", "now", "open", "turns")

    def __init__(self, turns: list[tuple[Step, bool]]) -> None:
        self.turns = turns
        self.now: Step = (Fraction(-1), Fraction(0))
        self.open: list[Sounding] = []
        self.begun: list[Sounding] = []
        self.made = False

    def hear(self, head: Sounding) -> None:
        """The next head of the voice."""
        if head.moment != self.now[0] or head.grace != self.now[1]:
            if self.begun or self.made:
                self._end_step()
            self.now = (head.moment, head.grace)
            if self.open:
                self._give_up_ended()
        if self.open:
            self._tie(head)
        if head.tie:
            self.begun.append(head)

    def _tie(self, head: Sounding) -> None:
        found = next((tied for tied in self.open if tied.pitch == head.pitch), None)
        if found is None:
            found = next((tied for tied in self.open if _sound(tied.pitch) == _sound(head.pitch)), None)
        if found is not None:
            self.open.remove(found)
            head.tied = self.made = True

    def _end_step(self) -> None:
        if not (self.turns and self._waits(behind=self.now)):
            self.open.clear()
        self.open += self.begun
        self.begun.clear()
        self.made = False

    def _give_up_ended(self) -> None:
        now = self.now
        if self.turns:
            self.open = [tied for tied in self.open if now <= (end := _end(tied)) or self._waited(end, now)]
        else:
            self.open = [tied for tied in self.open if now <= _end(tied)]

    def _waits(self, behind: Step) -> bool:
        """Whether ties wait behind a time step."""
        return next((on for step, on in reversed(self.turns) if step <= behind), False)

    def _waited(self, end: Step, now: Step) -> bool:
        """Whether ties waited at the beginning of each time step behind ``end``, up to that of ``now``."""
        on = False
        for step, turned in self.turns:
            if step >= now:
                break
            if not on and step > end:
                return False
            on = turned
        return on


def _turns(waits: list[Stamp], voice: Context) -> list[tuple[Step, bool]]:
    """When ties begin and cease to wait in a voice, in the order of time. What is set in a staff holds where the voice
    itself says nothing."""
    for here in voice.outward():
        own = [((stamp.moment, stamp.grace), "t" in str(stamp.value)) for stamp in waits if stamp.context is here]
        if own:
            return own
    return []


def _sound(pitch: Pitch) -> Fraction:
    return semitones(pitch.octave, pitch.step, pitch.alter)


def _end(sounding: Sounding) -> Step:
    """Where a note ends; a grace note on the time of graces."""
    if sounding.grace:
        return sounding.moment, sounding.grace + sounding.duration
    return sounding.moment + sounding.duration, sounding.grace
