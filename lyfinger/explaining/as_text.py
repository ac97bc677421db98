"""An explanation to be read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap

from ..checking.draft import CAUTION
from ..score.model import Note
from ..score.spoken import beat
from .documentation import documented
from .phrases import Phrase
from .places import Unfingered
from .reasons import Explained, Other, Placing
from .words import bars, digits, line_of, points, reason_here

_WIDTH, _LABEL = 100, 15
_COSTS = "Costs are thousandths: a rule's weight for each that it counts. The least sum for the whole phrase is marked."


def as_text(found: Sequence[Explained | Unfingered]) -> str:
    """The explanations one after the other, and the rules that they name with their sources."""
    blocks = ["".join(f"{line}\n" for line in _block(one)) for one in found]
    named = _named(one for one in found if isinstance(one, Explained))
    tail = ["".join(f"{line}\n" for line in _rules(named))] if named else []
    return "\n".join([*blocks, *tail])


def _block(one: Explained | Unfingered) -> Iterator[str]:
    if isinstance(one, Unfingered):
        part = one.solved.part
        yield f"{part.first(one.onset).source.place}: {part.hand} hand: no digit: {one.why}"
        return
    yield _title(one)
    yield _phrase_line(one)
    for placing in one.placings:
        yield ""
        yield from _placing(one, placing)
    yield ""
    yield from _others(one)
    if one.limits:
        yield ""
        yield f"  near the limit of this hand ({CAUTION}):"
        yield from (f"    {limit}" for limit in one.limits)


def _title(one: Explained) -> str:
    phrase, onsets = one.phrase, one.onsets
    where = bars(phrase.bar(onsets[0]), phrase.bar(onsets[-1]))
    place = phrase.part.first(onsets[0] - phrase.start).source.place
    return f"{place}: {phrase.part.hand} hand{', ' if where else ''}{where}"


def _phrase_line(one: Explained) -> str:
    phrase = one.phrase
    chain = phrase.chain.onsets
    where = bars(phrase.bar(chain[0]), phrase.bar(chain[-1]))
    notes = sum(len(phrase.answers.passage.onsets[index].strings) for index in chain)
    text = f"  phrase: {where}{', ' if where else ''}{notes} {'note' if notes == 1 else 'notes'}"
    others = len(phrase.group.chains) - 1
    if others:
        text += f", decided together with {others} more: notes that come again, or a repeat"
    if one.best.proven:
        return f"{text}; cost {one.best.cost}, proven the least"
    return f"{text}; cost {one.best.cost}, the best that was found: no less than {one.bound} is proven"


def _placing(one: Explained, placing: Placing) -> Iterator[str]:
    phrase, onsets = one.phrase, placing.onsets
    notes = " ".join(phrase.names(index) for index in onsets)
    fingers = " ".join(digits(one.best, index) for index in onsets)
    part = "" if placing.whole else " (a part of it)"
    yield f"  placing {placing.number}{_when(phrase, onsets[0])}{part}: {notes} with {fingers}{_locked(phrase, onsets)}"
    width = max((len(str(item.cost)) for item in placing.items), default=0)
    for item in placing.items:
        yield f"    {item.cost:>{width}}  {reason_here(phrase, one.best, item, onsets)}"
    if not placing.items:
        yield "    nothing counts against it"


def _when(phrase: Phrase, onset: int) -> str:
    score, note = phrase.part.score, phrase.part.first(onset - phrase.start)
    if not score.bars:
        return ""
    grace = ", grace" if note.grace else ""
    return f", bar {phrase.bar(onset)} beat {beat(score.beat_of(note))}{grace}"


def _locked(phrase: Phrase, onsets: range) -> str:
    """Which of the digits are the engraver's own."""
    notes: list[Note] = []
    free = False
    for index in onsets:
        locks = phrase.answers.passage.onsets[index].locks
        notes += (note for note, lock in zip(phrase.notes(index), locks, strict=True) if lock is not None)
        free = free or None in locks
    if not notes:
        return ""
    return f" (yours: {' '.join(note.pitch.name for note in notes)})" if free else " (all yours)"


def _others(one: Explained) -> Iterator[str]:
    if one.others is None:
        yield "  next best: too much music at once to look for it; ask for fewer bars"
        return
    if not one.others:
        yield "  no other fingering: the digits are yours, or the hand has no choice"
        return
    yield from _labelled("marked:", line_of(one.phrase, one.best, one.onsets))
    for number, other in enumerate(one.others):
        yield from _labelled("" if number else "next best:", line_of(one.phrase, other.choice, one.onsets))
        yield from wrap(
            _why_worse(other), _WIDTH, initial_indent=" " * 17, subsequent_indent=" " * 19, break_on_hyphens=False
        )


def _why_worse(other: Other) -> str:
    parts = ", ".join(f"{rule.replace('-', ' ')} {points(cost)}" for rule, cost in other.difference)
    text = f"{points(other.more)}{': ' if parts else ''}{parts}" if other.more or parts else "costs the same"
    if other.elsewhere:
        text += (
            f"; {other.elsewhere} {'digit' if other.elsewhere == 1 else 'digits'} elsewhere in the phrase would change"
        )
    return text if other.choice.proven else f"{text}; not proven to be the next"


def _named(found: Iterable[Explained]) -> set[str]:
    names: set[str] = set()
    for one in found:
        names.update(item.rule for placing in one.placings for item in placing.items)
        names.update(rule for other in one.others or () for rule, _ in other.difference)
    return names


def _rules(named: set[str]) -> Iterator[str]:
    yield "the rules named here, with their sources ([P] published, [T] common practice, [M] from memory)"
    for rule in documented():
        if rule.weighed and rule.name in named:
            text = f"{rule.name.replace('-', ' ')}: {rule.documentation.summary} {rule.documentation.source}"
            yield from _wrapped(text, 2)
    yield _COSTS


def _labelled(label: str, digits: str) -> Iterator[str]:
    lines = wrap(digits, _WIDTH - _LABEL, break_on_hyphens=False)
    for number, line in enumerate(lines):
        yield f"  {'' if number else label:<{_LABEL}}{line}"


def _wrapped(text: str, indent: int) -> list[str]:
    first, rest = " " * indent, " " * (indent + 2)
    return wrap(text, _WIDTH, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
