"""From what was collected to a :class:`Score`: order, split notes, ties, staves and groups, tempo."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from ..score.grid import Grid
from ..score.keys import signature
from ..score.model import (
    ClefChange,
    HandWord,
    KeyChange,
    Note,
    Score,
    Silence,
    Staff,
    Tempo,
    Text,
    Voice,
)
from ..source.text import Place
from .collect import Collection, Gap, Sounding, Stamp
from .completion import split
from .contexts import ALIGNED, GROUPS, Context, ContextTree
from .measures import begins, count_bars
from .stream import Sources
from .ties import resolve_ties


def assemble(score: Score, tree: ContextTree, collection: Collection, sources: Sources) -> None:
    """Fills a score from one walk through its music."""
    _contexts(score, tree, sources)
    collection.stamps.sort(key=lambda stamp: (stamp.moment, stamp.grace))
    _leave_out_skipped(collection)
    grid = _grid(collection)
    starts = begins(collection.soundings, grid)
    count_bars(score, tree, collection, grid, starts)
    if any(item.splitting is not None for item in collection.soundings):
        collection.soundings = split(collection.soundings, lambda item: score.bars_of(_printed_staff(tree, item)))
        starts = begins(collection.soundings, _grid(collection))
    in_order = sorted(zip(starts, collection.soundings, strict=True), key=lambda found: (found[0], found[1].order))
    collection.soundings = [item for _, item in in_order]
    resolve_ties(collection)
    score.notes = list(_notes(collection.soundings, tree))
    gaps = sorted(collection.gaps, key=lambda gap: (gap.moment, gap.grace, gap.offset))
    score.silences = [_silence(gap, tree, sources.place(gap.offset)) for gap in gaps]
    # Each staff of a score writes the same repeats, and often the same tempo marks.
    score.repeats = list(dict.fromkeys(collection.repeats))
    score.languages = tuple(sources.languages)
    _stamps(score, tree, collection.stamps, sources)


def _notes(soundings: list[Sounding], tree: ContextTree) -> Iterator[Note]:
    staves: dict[tuple[Context, str | None], tuple[int, int]] = {}
    for item in soundings:
        voice = item.voice
        key = (voice, item.change)
        if key not in staves:
            staves[key] = _printed_staff(tree, item), voice.up("staff").index
        staff, home = staves[key]
        yield Note(
            item.source,
            item.moment,
            item.grace,
            item.duration,
            item.pitch,
            staff,
            home,
            voice.index,
            not item.tied,
            item.side,
            item.marks,
            item.order,
        )


def _silence(gap: Gap, tree: ContextTree, place: Place) -> Silence:
    return Silence(
        place,
        gap.moment,
        gap.grace,
        gap.duration,
        staff=_printed_staff(tree, gap),
        voice=gap.voice.index,
        spacer=gap.spacer,
        marks=gap.marks,
        behind=place.offset + gap.end - gap.offset,
    )


def _grid(collection: Collection) -> Grid:
    items: list[Sounding | Gap] = [*collection.soundings, *collection.gaps]
    return Grid(part for item in items for part in (item.moment, item.grace, item.duration))


def _leave_out_skipped(collection: Collection) -> None:
    """Takes away what ``\\set Score.skipTypesetting = ##t`` keeps from being printed."""
    turns = [stamp for stamp in collection.stamps if stamp.what == "skipTypesetting"]
    if not turns:
        return

    def printed(item: Sounding | Gap) -> bool:
        on = False
        for turn in turns:
            if (turn.moment, turn.grace) > (item.moment, item.grace):
                break
            on = "t" in str(turn.value)
        return not on

    collection.soundings[:] = filter(printed, collection.soundings)
    collection.gaps[:] = filter(printed, collection.gaps)


def _contexts(score: Score, tree: ContextTree, sources: Sources) -> None:
    groups = [group for group in tree.groups if tree.made_from(group.kind) in GROUPS]
    score.groups = [_label(group, index) for index, group in enumerate(groups)]
    rows = [0] * len(groups)
    taken: set[str] = set()
    for index, staff in enumerate(tree.staves):
        group = _group_of(staff, groups)
        row = 0
        if group is not None:
            row = rows[group]
            rows[group] += 1
        label = _unique(_label(staff, index), taken)
        score.staves.append(
            Staff(
                label,
                staff.kind,
                staff.name,
                sources.place(staff.offset),
                group,
                row,
                _instrument(staff),
                tuple(staff.variables),
                begins=staff.begins,
                aligned=not ALIGNED.isdisjoint(staff.settings),
            )
        )
    taken = set()
    for index, voice in enumerate(tree.voices):
        label = _unique(_label(voice, index), taken)
        home = voice.up("staff").index
        score.voices.append(Voice(label, voice.name, home, tuple(voice.variables)))


def _label(context: Context, index: int) -> str:
    return context.name or f"{context.kind}{index + 1}"


def _unique(label: str, taken: set[str]) -> str:
    candidate, number = label, 2
    while candidate in taken:
        candidate, number = f"{label}.{number}", number + 1
    taken.add(candidate)
    return candidate


def _group_of(staff: Context, groups: list[Context]) -> int | None:
    return next((groups.index(here) for here in staff.outward() if here in groups), None)


def _instrument(staff: Context) -> str | None:
    """The nearest name that is not empty."""
    names = (here.settings.get("instrumentName") for here in staff.outward())
    return next((name for name in names if name), None)


def _printed_staff(tree: ContextTree, item: Sounding | Gap) -> int:
    """The staff of a note or rest: where its voice began, or where ``\\change`` sent it (the nearest of that name)."""
    home = item.voice.up("staff")
    if item.change is None:
        return home.index
    matching = [staff for staff in tree.staves if staff.name == item.change]
    if not matching:
        return home.index
    return next((staff.index for staff in matching if staff.parent is home.parent), matching[0].index)


def _stamps(score: Score, tree: ContextTree, stamps: list[Stamp], sources: Sources) -> None:
    """What else happens in a score, each kind into its list."""
    tempos: dict[tuple[Fraction, Any], Tempo] = {}
    for stamp in stamps:
        place, moment, context = sources.place(stamp.offset), stamp.moment, stamp.context
        match stamp.what:
            case "tempo":
                tempos.setdefault((moment, stamp.value), _tempo(stamp, place))
            case "clef" if context is not None:
                clef = stamp.value[0] if stamp.value else ""
                score.staves[context.index].clefs.append(ClefChange(moment, str(clef)))
            case "word" if context is not None and context.index >= 0:
                hand, comment = stamp.value
                score.hand_words.append(HandWord(place, moment, context.index, hand, comment))
            case "text":
                staff = None if context is None else _staff_near(tree, context)
                score.texts.append(Text(place, stamp.value, moment, stamp.grace, staff))
            case "key" if (alterations := signature(*stamp.value)) is not None:
                score.keys.append(KeyChange(moment, _staff_around(context), alterations))
    score.tempos = list(tempos.values())


def _tempo(stamp: Stamp, place: Place) -> Tempo:
    text, unit, count = stamp.value
    return Tempo(
        place,
        stamp.moment,
        unit if isinstance(unit, Fraction) else None,
        count if isinstance(count, Fraction) and count > 0 else None,
        text if isinstance(text, str) else None,
    )


def _staff_around(context: Context | None) -> int | None:
    home = context.up("staff") if context is not None else None
    return home.index if home is not None and home.role == "staff" else None


def _staff_near(tree: ContextTree, context: Context) -> int | None:
    """The staff of a context; of one beside staves (dynamics), the first staff of its group."""
    staff_around = _staff_around(context)
    if staff_around is not None:
        return staff_around
    return next((staff.index for staff in tree.staves if staff.parent is context.parent), None)
