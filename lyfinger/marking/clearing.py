"""Digits taken out of the source, so that a passage is fingered anew, and the proof that it is just them.

A digit goes with all that belongs to it alone: its direction, its tweak, its tag. Blanks around it stay. The signs that
a marking has put in go too (``taking.py``).
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from ..reading.reader import read
from ..score.model import LockedDigit, Note, Score, SourceNote, Unmarkable
from ..score.spoken import bar_and_beat
from ..source.cuts import Cuts, Deletion, refuse_unless_deletions
from ..source.library import Library
from ..source.messages import Message, Refused, Severity
from ..source.text import Place, SourceFile
from .forms import digit_start
from .handsigns import refuse_unless_same_hands
from .plan import Plan
from .proof import Again, Changed, Outcome, Unchanged, refuse_unless_same_notes

_UNFINISHED = re.compile(r"\\tweak\s*(?:[\w.-]+\s*)?\Z")
_DURATION_FOLLOWS = re.compile(
    r"(?:\s|%\{(?:(?!%\}).)*%\}|%(?!\{)[^\n]*\n)*(?:[\d.*]|\\(?:breve|longa|maxima)\b)", re.DOTALL
)
"""What a note without a duration would take for its own, were the digit between them gone."""

_BELONGS_BEFORE = re.compile(r"\s*[./*',=!?]")
"""What is a part of a pitch or a duration; behind a digit it is a slip of the pen."""


@dataclass(frozen=True, slots=True)
class Clearing:
    """The source notes that lose their digits, a warning for each selected one that keeps them, and the signs that
    go out of each file."""

    sources: frozenset[SourceNote]
    messages: tuple[Message, ...]
    signs: Mapping[SourceFile, Sequence[Deletion]] = field(default_factory=dict)


@dataclass(slots=True)
class _Uses:
    """Where a source note with digits sounds: selected, and elsewhere."""

    selected: list[tuple[Score, Note]] = field(default_factory=list)
    elsewhere: list[tuple[Score, Note]] = field(default_factory=list)


def clearing(plan: Plan) -> Clearing:
    """Which digits of a plan's excerpt are taken out.

    Those of notes that a harpist's hand plays and that sound nowhere but in what is selected; and where they stand
    behind a chord, only all of them.
    """
    uses = _uses(plan)
    wanted = {source for source, found in uses.items() if found.selected}
    refused = {source: why for source in wanted if (why := _used_elsewhere(uses[source]))}
    refused |= held_fast(wanted - refused.keys())
    refused |= _in_kept_chords(wanted, refused)
    messages = (
        Message(Severity.WARNING, source.place, f"its digit stays: {why}", "not-cleared")
        for source, why in refused.items()
    )
    return Clearing(frozenset(wanted - refused.keys()), tuple(messages))


def _uses(plan: Plan) -> dict[SourceNote, _Uses]:
    found: dict[SourceNote, _Uses] = {}
    for root in plan.roots:
        for score, hands in zip(root.scores, root.hands, strict=True):
            takes = plan.excerpt.within(score)
            for note, hand in zip(score.notes, hands.hands, strict=True):
                if note.source.locked and note.source.unmarkable is not Unmarkable.NOT_PLUCKED:
                    uses = found.setdefault(note.source, _Uses())
                    (uses.selected if hand is not None and takes(note) else uses.elsewhere).append((score, note))
    return found


def _used_elsewhere(uses: _Uses) -> str | None:
    if not uses.elsewhere:
        return None
    score, note = uses.elsewhere[0]
    staff = score.staves[note.staff].label
    where = ", ".join(filter(None, (staff, bar_and_beat(score, note))))
    return f"the note sounds elsewhere too ({where})"


def held_fast(sources: Collection[SourceNote]) -> dict[SourceNote, str]:
    """The source notes whose digits can't go without harm to the text around them, and why."""
    held = dict(_not_apart(sources))
    return held | _in_kept_chords(sources, held)


def _in_kept_chords(sources: Collection[SourceNote], kept: Mapping[SourceNote, str]) -> dict[SourceNote, str]:
    """Notes whose digits stand behind a chord with some that stay: fewer than the notes would be nobody's."""
    chords = {(one.place.file, one.chord) for one in kept if _is_behind_chord(one)}
    return {
        source: "other digits behind this chord stay"
        for source in sources
        if source not in kept and _is_behind_chord(source) and (source.place.file, source.chord) in chords
    }


def _is_behind_chord(source: SourceNote) -> bool:
    return any(digit.behind_chord for digit in source.locked)


def _not_apart(sources: Iterable[SourceNote]) -> Iterator[tuple[SourceNote, str]]:
    by_file: dict[SourceFile, list[tuple[LockedDigit, SourceNote]]] = {}
    for source in sources:
        for digit in source.locked:
            by_file.setdefault(digit.place.file, []).append((digit, source))
    for file, found in by_file.items():
        for run in _runs(found):
            if why := _harm(file.text, digit_start(run[0][0]), run[-1][0].end):
                yield from ((source, why) for _, source in run)


def _runs(found: list[tuple[LockedDigit, SourceNote]]) -> Iterator[list[tuple[LockedDigit, SourceNote]]]:
    """Digits that stand against one another, in order: what is before and behind all of them would meet."""
    run: list[tuple[LockedDigit, SourceNote]] = []
    for item in sorted(found, key=lambda item: item[0].place.offset):
        if run and digit_start(item[0]) != run[-1][0].end:
            yield run
            run = []
        run.append(item)
    if run:
        yield run


def _harm(text: str, start: int, end: int) -> str | None:
    if "%" in text[start:end]:
        return "a comment stands in it"
    if _UNFINISHED.search(text, max(start - 80, 0), start):
        return "a \\tweak without a property stands before it"
    before, after = text[start - 1 : start], text[end : end + 1]
    words = (before.isalpha() and after.isalnum()) or (before in set("0123456789.'!?,") and after.isdigit())
    if words or _BELONGS_BEFORE.match(text, end):
        return "what stands before and behind it would run together"
    stem = text[:start].rstrip()[-1:]
    if _DURATION_FOLLOWS.match(text, end) and not (stem.isdigit() or stem == "."):
        return "the duration behind it would become the note's"
    return None


def cleared(
    plan: Plan, found: Clearing, library: Library, settings: Mapping[str, str] | None = None
) -> dict[SourceFile, Outcome]:
    """The new bytes of every file of a run, read again and found to be the same music without just these digits.

    With ``settings`` (``[hands]``), signs may go too, and no note must change hands. Raises Refused, an internal error,
    if anything else has changed: then nothing must be written.
    """
    cuts = _cuts(found)
    outcomes: dict[SourceFile, Outcome] = {file: Unchanged(file) for file in library.files}
    for file, item in cuts.items():
        data = item.apply()
        refuse_unless_deletions(item, data)
        outcomes[file] = Changed(file, data, len(item.deletions))
    if cuts:
        changed = {item.file: item.data for item in outcomes.values() if isinstance(item, Changed)}
        _refuse_unless_just_these(plan, found, library, cuts, changed, settings)
    return outcomes


def _cuts(found: Clearing) -> dict[SourceFile, Cuts]:
    by_file: dict[SourceFile, list[Deletion]] = {file: list(signs) for file, signs in found.signs.items()}
    for source in found.sources:
        for digit in source.locked:
            by_file.setdefault(digit.place.file, []).append(Deletion(digit_start(digit), digit.end))
    try:
        return {file: Cuts.of(file, deletions) for file, deletions in by_file.items()}
    except ValueError as error:
        raise Refused(f"internal error: {error}; nothing is written") from error


def _refuse_unless_just_these(
    plan: Plan,
    found: Clearing,
    library: Library,
    cuts: Mapping[SourceFile, Cuts],
    changed: Mapping[SourceFile, bytes],
    settings: Mapping[str, str] | None,
) -> None:
    gone: set[Place] = {digit.place for source in found.sources for digit in source.locked}
    movers = {file: item.mover() for file, item in cuts.items()}
    twin, files = library.twin(changed)

    def has_digits(source: SourceNote, now: SourceNote) -> bool:
        kept = [digit.text for digit in source.locked if digit.place not in gone]
        return [digit.text for digit in now.locked] == kept

    for root in plan.roots:
        again = read(twin.reopen(files[root.reading.root]), twin)
        refuse_unless_same_notes(root.reading, Again(again, files), movers, has_digits)
        if settings is not None:
            refuse_unless_same_hands(root, again, settings, plan.excerpt.staves)
