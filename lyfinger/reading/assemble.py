"""From what was collected to a :class:`Score`: order, split notes, ties, staves and groups, tempo."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from ..score.grid import Grid
from ..score.keys import signature
from ..score.model import (
    Bar,
    ClefChange,
    HandWord,
    KeyChange,
    Note,
    Repeat,
    Score,
    Silence,
    Staff,
    Tempo,
    Text,
    Voice,
)
from .collect import Collection, Gap, Sounding, resolve_ties
from .completion import split
from .contexts import ALIGNED, GROUPS, Context, ContextTree
from .measures import count_bars
from .stream import Sources


def assemble(score: Score, tree: ContextTree, collection: Collection, sources: Sources) -> None:
    """Fills a score from one walk through its music."""
    _contexts(score, tree, sources)
    collection.stamps.sort(key=lambda stamp: (stamp.moment, stamp.grace))
    _leave_out_skipped(collection)
    grid = _grid(collection)
    count_bars(score, tree, collection, grid)

    def bars_of(item: Sounding) -> list[Bar]:
        return score.bars_of(_printed_staff(tree, item.voice, item.change))

    soundings = split(collection.soundings, bars_of)
    if len(soundings) > len(collection.soundings):
        collection.soundings = soundings
        grid = _grid(collection)
    at = grid.at
    soundings.sort(key=lambda item: (at(item.moment), at(item.grace), item.order))
    resolve_ties(soundings, collection.gaps)
    for item in soundings:
        home = item.voice.up("staff").index
        score.notes.append(
            Note(
                item.source,
                item.moment,
                item.grace,
                item.duration,
                item.pitch,
                _printed_staff(tree, item.voice, item.change),
                home,
                item.voice.index,
                not item.tied,
                item.side,
                frozenset(item.marks),
                item.order,
            )
        )
    for gap in sorted(collection.gaps, key=lambda gap: (gap.moment, gap.grace, gap.offset)):
        staff = _printed_staff(tree, gap.voice, gap.change)
        marks = frozenset(gap.marks)
        place = sources.place(gap.offset)
        score.silences.append(
            Silence(
                place,
                gap.moment,
                gap.grace,
                gap.duration,
                staff,
                gap.voice.index,
                gap.spacer,
                marks,
                gap.end - gap.offset + place.offset,
            )
        )
    # Each staff of a score writes the same repeats, and often the same tempo marks.
    score.repeats = list(dict.fromkeys(Repeat(*entry) for entry in collection.repeats))
    _stamps(score, collection, sources)
    _texts_and_keys(score, tree, collection, sources)


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
        instrument = staff.settings.get("instrumentName") or _inherited_instrument(staff)
        score.staves.append(
            Staff(
                label,
                staff.kind,
                staff.name,
                sources.place(staff.offset),
                group,
                row,
                instrument,
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
    here: Context | None = staff
    while here is not None:
        if here in groups:
            return groups.index(here)
        here = here.parent
    return None


def _inherited_instrument(staff: Context) -> str | None:
    here = staff.parent
    while here is not None:
        if here.settings.get("instrumentName"):
            return here.settings["instrumentName"]
        here = here.parent
    return None


def _printed_staff(tree: ContextTree, voice: Context, change: str | None) -> int:
    """The staff of a note: where its voice began, or where ``\\change`` sent it (the nearest of that name)."""
    home = voice.up("staff")
    if change is None:
        return home.index
    matching = [staff for staff in tree.staves if staff.name == change]
    if not matching:
        return home.index
    return next((staff.index for staff in matching if staff.parent is home.parent), matching[0].index)


def _stamps(score: Score, collection: Collection, sources: Sources) -> None:
    told: set[tuple[Any, ...]] = set()
    for stamp in collection.stamps:
        if stamp.what == "tempo":
            text, unit, count = stamp.value
            if (stamp.moment, stamp.value) in told:
                continue
            told.add((stamp.moment, stamp.value))
            score.tempos.append(
                Tempo(
                    sources.place(stamp.offset),
                    stamp.moment,
                    unit if isinstance(unit, Fraction) else None,
                    count if isinstance(count, Fraction) and count > 0 else None,
                    text if isinstance(text, str) else None,
                )
            )
        elif stamp.what == "clef" and stamp.context is not None:
            clef = stamp.value[0] if stamp.value else ""
            score.staves[stamp.context.index].clefs.append(ClefChange(stamp.moment, str(clef)))
        elif stamp.what == "word" and stamp.context is not None and stamp.context.index >= 0:
            hand, comment = stamp.value
            place = sources.place(stamp.offset)
            score.hand_words.append(HandWord(place, stamp.moment, stamp.context.index, hand, comment))


def _texts_and_keys(score: Score, tree: ContextTree, collection: Collection, sources: Sources) -> None:
    score.languages = tuple(sources.languages)
    for stamp in collection.stamps:
        if stamp.what == "text":
            staff = None if stamp.context is None else _staff_near(tree, stamp.context)
            place = sources.place(stamp.offset)
            score.texts.append(Text(place, stamp.value, stamp.moment, stamp.grace, staff))
        elif stamp.what == "key":
            alterations = signature(*stamp.value)
            home = stamp.context.up("staff") if stamp.context is not None else None
            index = home.index if home is not None and home.role == "staff" else None
            if alterations is not None:
                score.keys.append(KeyChange(stamp.moment, index, alterations))


def _staff_near(tree: ContextTree, context: Context) -> int | None:
    """The staff of a context; of one beside staves (dynamics), the first staff of its group."""
    home = context.up("staff")
    if home.role == "staff":
        return home.index
    return next((staff.index for staff in tree.staves if staff.parent is context.parent), None)
