"""The four calls: what the commands do, as functions of values."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from ..checking.draft import CAUTION
from ..checking.findings import findings, in_rules_words
from ..checking.order import in_order_of, worth_saying
from ..checking.selection import configured_selection
from ..choices import CHORDS, DENSITIES, HAND_SIZES
from ..config import Config, config_beside, load_config, settings_at
from ..explaining.phrases import Phrases
from ..explaining.places import Stretch, around, file_named, in_bars
from ..explaining.reasons import Explained, explained
from ..explaining.words import reason
from ..marking.books import whole
from ..marking.locks import chosen_fingers, parse_locks
from ..marking.plan import Origin, Plan, RootPlan, make_plan, prove
from ..marking.player import player_of
from ..marking.proof import Changed
from ..reading.roots import Root, read_root
from ..score.model import Reading
from ..score.pitch import LETTERS
from ..source.library import Library
from ..source.messages import Message, Refused
from ..source.text import Place, SourceFile
from .results import Cost, Figure, Finding, Marked, MarkedFile, Music, Other, PrintedNote, Text

Source = Text | Path | str


@dataclass(frozen=True, slots=True)
class _Run:
    """Sources that were read from one library and planned together."""

    config: Config
    library: Library
    plan: Plan
    roots: tuple[Root, ...]


def read(
    *sources: Source,
    settings: Path | str | None = None,
    include: Sequence[Path | str] = (),
    hand: str | None = None,
    strict: bool = False,
    locks: Path | str | bytes | None = None,
) -> Music:
    """Read sources, each a path or a :class:`Text`, and decide hand and finger of every note.

    ``settings`` is a ``lyfinger.toml`` (default: the nearest one to the first source), ``include`` are folders for
    ``\\include``, ``hand`` is the size of the player's. ``locks`` are digits that were chosen on the page of ``lyfinger
    proof``, as the file that it saves or as its bytes. All sources are planned together, with the same settings. Raises
    Refused.

    >>> import lyfinger
    >>> music = lyfinger.read(lyfinger.Text(b"right = { c'4 e' g'-1 }"))
    >>> [(note.step, note.octave, note.finger, note.locked) for note in music.notes]
    [('C', 4, 3, False), ('E', 4, 2, False), ('G', 4, 1, True)]
    """
    run = _run(sources, settings, include, hand, strict, locks)
    notes = tuple(note for root in run.plan.roots for note in _notes(root))
    return Music(notes, _said(in_rules_words(run.plan, player_of(run.config).reach), run))


def mark(
    *sources: Source,
    settings: Path | str | None = None,
    include: Sequence[Path | str] = (),
    hand: str | None = None,
    strict: bool = False,
    locks: Path | str | bytes | None = None,
    density: str | None = None,
    chords: str | None = None,
    brackets: bool | None = None,
) -> Marked:
    """Put digits into sources and all that they include; nothing is written. Other arguments as for
    :func:`read`.

    ``density`` (``"all"``, ``"placings"`` or ``"needed"``), ``chords`` (``"stacked"``, ``"behind"`` or ``"left"``) and
    ``brackets`` say what is printed, whatever the settings say, as the options of those names do. The result has been
    read again and is the same music. Raises Refused.

    >>> import lyfinger
    >>> lyfinger.mark(lyfinger.Text(b"right = { c'4 e' g'-1 }")).data
    b"right = { c'4^3 e'^2 g'-1 }"
    >>> lyfinger.mark(lyfinger.Text(b"right = { c'4 e' g' }"), density="needed").data
    b"right = { c'4 e' g' }"
    """
    printing = _printing(density, chords, brackets)
    run = _run(sources, settings, include, hand, strict, locks, printing)
    books = {root.file: root.parts for root in run.roots if root.parts is not None}
    proven = whole(prove(run.plan, run.library), books)
    order = dict.fromkeys([*(root.file for root in run.roots), *proven])
    files = []
    for file in order:
        outcome = proven[file]
        data, digits = (outcome.data, outcome.digits) if isinstance(outcome, Changed) else (file.data, 0)
        files.append(MarkedFile(file.name, file.path, file.data, data, digits))
    return Marked(tuple(files), _said(in_rules_words(run.plan, player_of(run.config).reach), run))


def check(
    *sources: Source,
    settings: Path | str | None = None,
    include: Sequence[Path | str] = (),
    hand: str | None = None,
    strict: bool = False,
    locks: Path | str | bytes | None = None,
) -> tuple[Finding, ...]:
    """What a harpist would send back of some sources, in order. Arguments as for :func:`read`. Raises Refused.

    What ``[check]`` of the settings leaves out, or a comment in the source accepts, is not among it.

    >>> import lyfinger
    >>> (finding,) = lyfinger.check(lyfinger.Text(b"right = { <c'-1 e'-1>1 }"))
    >>> finding.rule, finding.line, finding.column, finding.bar
    ('finger-twice', 1, 12, 1)
    """
    run = _run(sources, settings, include, hand, strict, locks)
    found = worth_saying(run.plan, findings(run.plan, player_of(run.config).reach))
    config = run.config
    chosen = configured_selection(config.select, config.ignore, config.places)
    judged = chosen.judge(run.plan, found)
    found = in_order_of(run.plan, [*judged.left, *(remark.message for remark in judged.remarks)])
    return tuple(map(Finding.of, found))


def explain(
    source: Source,
    *,
    at: tuple[int, int] | None = None,
    bars: tuple[int, int] | None = None,
    settings: Path | str | None = None,
    include: Sequence[Path | str] = (),
    hand: str | None = None,
    strict: bool = False,
    locks: Path | str | bytes | None = None,
) -> tuple[Figure, ...]:
    """Why the digits of a figure are what they are: the note ``at`` a line and column, or the printed ``bars`` from one
    number to another. Other arguments as for :func:`read`.

    Raises Refused, and ValueError unless just one of ``at`` and ``bars`` is given.

    >>> import lyfinger
    >>> (figure,) = lyfinger.explain(lyfinger.Text(b"right = { c'4 e' g' }"), at=(1, 11))
    >>> figure.hand, figure.digits, figure.others[0].digits
    ('right', (3, 2, 1), (4, 2, 1))
    """
    if (at is None) == (bars is None):
        raise ValueError("explain: either at or bars")
    run = _run([source], settings, include, hand, strict, locks)
    phrases = Phrases(run.plan, player_of(run.config))
    return tuple(_figure(explained(one)) for one in _pointed_at(run, phrases, at, bars) if isinstance(one, Stretch))


def _pointed_at(
    run: _Run, phrases: Phrases, at: tuple[int, int] | None, bars: tuple[int, int] | None
) -> Iterator[object]:
    if len(run.plan.roots) != 1:
        raise Refused(f"{run.roots[0].file.name} has {len(run.plan.roots)} snippets: explain takes a source with one")
    (root,) = run.plan.roots
    if at is None:
        assert bars is not None
        yield from in_bars(run.plan, phrases, root, *bars)
        return
    file = file_named(root, None)
    offset = file.offset_of(*at)
    if offset is None:
        raise Refused(f"{file.name} has no line {at[0]} with a column {at[1]}")
    yield around(run.plan, phrases, root, Place(file, offset))


def _run(
    sources: Sequence[Source],
    settings: Path | str | None,
    include: Sequence[Path | str],
    hand: str | None,
    strict: bool,
    locks: Path | str | bytes | None,
    printing: Mapping[str, Any] = MappingProxyType({}),
) -> _Run:
    if not sources:
        raise ValueError("at least one source is needed")
    if hand is not None and hand not in HAND_SIZES:
        raise ValueError(f"hand is one of {', '.join(HAND_SIZES)}, not {hand!r}")
    config = _config(sources[0], settings)
    if hand is not None:
        config = config.for_hand(hand)
    config = config._replace(**printing)
    library = Library([*include, *config.include])
    files = dict.fromkeys(_opened(source, library) for source in sources)
    roots = tuple(read_root(file, library, strict=strict) for file in files)
    readings = [reading for root in roots for reading in root.readings]
    plan = make_plan(readings, config, chosen=_chosen(locks, readings))
    return _Run(config, library, plan, roots)


def _printing(density: str | None, chords: str | None, brackets: bool | None) -> Mapping[str, Any]:
    """The settings that are given, by name. Raises ValueError for a word that none of them knows."""
    for name, word, known in (("density", density, DENSITIES), ("chords", chords, CHORDS)):
        if word is not None and word not in known:
            raise ValueError(f"{name} is one of {', '.join(known)}, not {word!r}")
    given = {"density": density, "chords": chords, "brackets": brackets}
    return {name: value for name, value in given.items() if value is not None}


def _chosen(locks: Path | str | bytes | None, readings: Sequence[Reading]) -> Mapping[Place, int]:
    if locks is None:
        return {}
    name = "locks" if isinstance(locks, bytes) else os.fspath(locks)
    try:
        data = locks if isinstance(locks, bytes) else Path(locks).read_bytes()
    except OSError as error:
        raise Refused(f"can't read {name}: {error.strerror or error}") from error
    return chosen_fingers(parse_locks(data, name), readings)


def _config(source: Source, settings: Path | str | None) -> Config:
    if settings is not None:
        return load_config(Path(settings).absolute(), os.fspath(settings))
    return settings_at(config_beside(source.name if isinstance(source, Text) else os.fspath(source)))


def _opened(source: Source, library: Library) -> SourceFile:
    return library.stdin(source.data, source.name) if isinstance(source, Text) else library.root(source)


def _said(messages: Iterable[Message], run: _Run) -> tuple[Finding, ...]:
    return tuple(map(Finding.of, worth_saying(run.plan, messages)))


def _notes(root: RootPlan) -> Iterator[PrintedNote]:
    for score, rows in zip(root.scores, root.fingered, strict=True):
        for note, row in zip(score.notes, rows, strict=True):
            line, column = note.source.place.line_column
            yield PrintedNote(
                file=note.source.place.file.name,
                line=line,
                column=column,
                score=score.index + 1,
                bar=score.bar_number(note),
                moment=note.moment,
                grace=note.grace,
                duration=note.duration,
                staff=score.staves[note.staff].label,
                voice=score.voices[note.voice].label,
                step=LETTERS[note.pitch.step],
                alter=note.pitch.alter,
                octave=note.pitch.octave,
                hand=row.hand.value if row.hand else None,
                tied=not note.plucked,
                finger=row.finger,
                locked=row.origin is Origin.LOCKED,
                placing=row.placing,
            )


def _figure(one: Explained) -> Figure:
    phrase = one.phrase
    placing_of = {index: placing.number for placing in one.placings for index in placing.onsets}
    notes, placings = [], []
    for index in one.onsets:
        for note in phrase.notes(index):
            notes.append((note.pitch.name, *note.source.place.line_column))
            placings.append(placing_of[index])
    costs = (
        Cost(item.rule, item.units, item.cost, placing.number, reason(phrase, one.best, item))
        for placing in one.placings
        for item in placing.items
    )
    return Figure(
        hand=phrase.part.hand.value,
        bars=(phrase.bar(one.onsets[0]), phrase.bar(one.onsets[-1])),
        notes=tuple(notes),
        digits=_digits(one, one.best.fingers),
        placings=tuple(placings),
        costs=tuple(costs),
        others=None if one.others is None else tuple(_others(one)),
        limits=one.limits,
        caution=CAUTION if one.limits else None,
    )


def _others(one: Explained) -> Iterator[Other]:
    for other in one.others or ():
        yield Other(other.more, other.choice.proven, _digits(one, other.choice.fingers), dict(other.difference))


def _digits(one: Explained, fingers: Sequence[Sequence[int | None]]) -> tuple[int | None, ...]:
    return tuple(finger for index in one.onsets for finger in fingers[index])
