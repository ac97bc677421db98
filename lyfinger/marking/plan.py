"""The journey of a run: readings → hands → passages → search → the digit of every source note."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

from ..config import Config
from ..fingering.model import Problem
from ..fingering.problems import REUSED
from ..hands.assign import assign
from ..hands.model import Hand, Hands
from ..harp.feet import PedalSettings
from ..harp.reach import Reach
from ..reading.reader import read
from ..score.model import Note, Reading, Score
from ..score.tempo import DEFAULT_TEMPO, Pace, pace
from ..source.edits import Edits, Insertion
from ..source.library import Library
from ..source.messages import Message, Severity
from ..source.text import Place, SourceFile
from .behind import behind_chords
from .brackets import headless, merged
from .digits import NO_TEXTS, Digit, edits_of
from .doubled import doubled
from .excerpt import WHOLE, Excerpt
from .joint import Solved, solve_jointly
from .misspelt import misspelt, names_met
from .page import page
from .passages import HandPassage, Planned, held_to
from .passages import plan as plan_passages
from .player import Player, pedals_of, player_of
from .proof import Again, Changed, Outcome, outcomes, refuse_unless_same_music
from .reused import Uses
from .sharing import share_source_notes
from .side import BESIDE, digit_side
from .spread import Spread, one_by_one

_JOINED = "connectArpeggios"
_NOTHING_KEPT = "no digit of this earlier marking is kept: it is other music, or another one is nearer"


class Origin(StrEnum):
    """Where a digit comes from: from the source, or from us."""

    LOCKED = "locked"
    SUGGESTED = "suggested"


class Fingered(NamedTuple):
    """What was decided for one printed note.

    ``finger`` is 1–4, or None where there is none, or the source has something that names no finger; ``placing``
    is shared by the notes of one placing, through the whole run.
    """

    hand: Hand | None
    finger: int | None
    origin: Origin | None
    placing: int | None


class RootPlan(NamedTuple):
    """One root file's part of a plan; ``hands``, ``fingered`` and ``paces`` run parallel to ``scores``, the printed
    ones."""

    reading: Reading
    scores: tuple[Score, ...]
    hands: tuple[Hands, ...]
    fingered: tuple[tuple[Fingered, ...], ...]
    paces: tuple[Pace, ...]

    @property
    def has_hands(self) -> bool:
        """Whether any note is known to be a hand's."""
        return any(hand is not None for item in self.hands for hand in item.hands)


class SolvedPassage(NamedTuple):
    """One hand's passage and its answer."""

    part: HandPassage
    answer: Solved


class Plan(NamedTuple):
    """What a run decided: the notes of each root, and by its place the new digit of each source note that gets one.

    ``silent`` are digits that are planned and, as the density of printing has it, not put in; ``texts`` what goes in
    beside digits. Where there are signs for hands among them, ``hand_settings`` is ``[hands]``, by which the proof
    compares hands.
    """

    roots: tuple[RootPlan, ...]
    passages: tuple[SolvedPassage, ...]
    digits: Mapping[Place, Digit]
    messages: tuple[Message, ...]
    pedals: PedalSettings
    excerpt: Excerpt = WHOLE
    silent: Mapping[Place, Digit] = MappingProxyType({})
    texts: Mapping[SourceFile, Sequence[Insertion]] = NO_TEXTS
    hand_settings: Mapping[str, str] | None = None

    @property
    def scores(self) -> tuple[Score, ...]:
        """The printed scores of all roots."""
        return tuple(score for root in self.roots for score in root.scores)

    def planned(self, place: Place) -> Digit | None:
        """The new digit of the source note at a place, put in or not; None where it gets none."""
        return self.digits.get(place) or self.silent.get(place)


_THUMBS_OWN = frozenset({"flageolet", "muffled"})
"""Notes that only the thumb plays: their digit is usually not printed (common practice of the trade)."""


def make_plan(
    readings: Sequence[Reading],
    config: Config,
    earlier: Sequence[Reading] = (),
    excerpt: Excerpt = WHOLE,
    spread: Spread = one_by_one,
    chosen: Mapping[Place, int] | None = None,
) -> Plan:
    """Decide everything about the readings of one run together; ``spread`` does what is independent.

    ``earlier`` are readings of earlier markings, whose digits are preferred; only what is selected gets digits.
    ``chosen`` are fingers, by the place of their source notes, that are held to and printed whatever the density.
    Raises Refused for a hand or a harp that can't be.
    """
    share_source_notes(readings)
    excerpt = excerpt.with_setting(config.staves)
    scores = [(reading, score) for reading in readings for score in reading.scores if score.printed]
    hands = [assign(score, config.hands, excerpt.staves) for _, score in scores]
    printed = [score for _, score in scores]
    paces = [_pace(reading, score, config) for reading, score in scores]
    planned = plan_passages(list(zip(printed, hands, paces, strict=True)), chosen)
    player = player_of(config)
    parts, unkept = _keeping(planned.passages, earlier, config, player, excerpt.staves)
    answers = solve_jointly([part.passage for part in parts], player.place, spread)
    solved = tuple(SolvedPassage(*pair) for pair in zip(parts, answers, strict=True))
    fingered = _fingered(printed, hands, solved)
    planned_digits, no_room = _digits(printed, fingered, excerpt, _beside(readings, config))
    roots = tuple(_roots(readings, scores, hands, fingered, paces))
    planned_digits = behind_chords(planned_digits.values(), readings, every=config.chords != "stacked")
    found = page(roots, solved, planned_digits, chosen or {}, config, excerpt)
    messages = [
        *(message for reading in (*readings, *earlier) for message in reading.messages),
        *(message for item in hands for message in item.messages),
        *misspelt(names_met(printed, hands, config), config),
        *planned.messages,
        *unkept,
        *_problems(solved, {score: _name_of(reading, score) for reading, score in scores}, player.reach),
        *(_given_way(solved) if earlier else ()),
        *no_room,
        *doubled(printed, hands, found.digits),
        *found.messages,
    ]
    shown_hands = config.hands if found.hands_shown else None
    return Plan(
        roots,
        solved,
        found.digits,
        tuple(messages),
        pedals_of(config),
        excerpt,
        found.silent,
        found.texts,
        shown_hands,
    )


def _beside(readings: Sequence[Reading], config: Config) -> Callable[[Note], bool]:
    """Whether the digits of chords go beside them, for a note of one.

    Not those of a rolled chord where one arpeggio sign joins both staves: it would run through the digits (seen in
    engraved pages of LilyPond 2.25.12). They go behind it.
    """
    if config.chords != "left":
        return lambda note: False
    bare = headless(readings)
    joined = {file for item in readings if any(_JOINED in one.text for one in item.files) for file in item.files}
    return lambda note: (
        note.source.chord is not None
        and note.source.place.file not in bare
        and not ("arpeggio" in note.marks and note.source.place.file in joined)
    )


def without_digits(
    readings: Sequence[Reading], config: Config, earlier: Sequence[Reading] = (), excerpt: Excerpt = WHOLE
) -> Plan:
    """The notes of a run and their hands, and no passage solved: for what only asks which digits there are."""
    share_source_notes(readings)
    excerpt = excerpt.with_setting(config.staves)
    scores = [(reading, score) for reading in readings for score in reading.scores if score.printed]
    hands = [assign(score, config.hands, excerpt.staves) for _, score in scores]
    fingered = _fingered([score for _, score in scores], hands, ())
    messages = tuple(message for reading in readings for message in reading.messages)
    paces = [_pace(reading, score, config) for reading, score in scores]
    roots = tuple(_roots(readings, scores, hands, fingered, paces))
    return Plan(roots, (), {}, messages, pedals_of(config), excerpt)


def hand_passages(plan: Plan, config: Config) -> Sequence[HandPassage]:
    """Every hand's passage, the moments that no hand can take among them, for comparing what is written."""
    scores = [
        (score, hands._replace(crowded=frozenset()), _pace(root.reading, score, config))
        for root in plan.roots
        for score, hands in zip(root.scores, root.hands, strict=True)
    ]
    return plan_passages(scores).passages


def _planned(
    scores: Sequence[tuple[Reading, Score]],
    hands: Sequence[Hands],
    config: Config,
    chosen: Mapping[Place, int] | None = None,
) -> Planned:
    paces = (_pace(reading, score, config) for reading, score in scores)
    return plan_passages(
        [(score, own, pace) for (_, score), own, pace in zip(scores, hands, paces, strict=True)], chosen
    )


def _keeping(
    passages: Sequence[HandPassage], earlier: Sequence[Reading], config: Config, player: Player, staves: Sequence[str]
) -> tuple[Sequence[HandPassage], list[Message]]:
    """The passages with the digits that they keep, and a warning for each earlier marking that has none for them."""
    if not earlier:
        return passages, []
    from .keeping import kept_digits, with_kept

    scores = [(reading, score) for reading in earlier for score in reading.scores if score.printed]
    old = _planned(scores, [assign(score, config.hands, staves) for _, score in scores], config).passages
    kept = kept_digits(passages, old)
    used = {old[index].score for index in kept.sources}
    unused = [reading for reading in earlier if used.isdisjoint(reading.scores)]
    messages = [Message(Severity.WARNING, Place(item.root, 0), _NOTHING_KEPT, "kept-digit") for item in unused]
    return [with_kept(part, kept.fingers, player.reach) for part in passages], messages


def _given_way(solved: Iterable[SolvedPassage]) -> Iterator[Message]:
    from .keeping import given_way

    for item in solved:
        yield from given_way(item.part, item.answer.fingers)


def prove(
    plan: Plan,
    library: Library,
    spread: Spread = one_by_one,
    texts: Mapping[SourceFile, Sequence[Insertion]] = NO_TEXTS,
    also: Callable[[RootPlan, Reading], None] | None = None,
) -> dict[SourceFile, Outcome]:
    """The new bytes of every file of a run, read again and found to be the same music with the wanted digits.

    ``texts`` go in as well, behind a digit at the same offset; ``also`` looks at each root as it was read again. Raises
    Refused, an internal error, if anything else has changed: then nothing must be written.
    """
    edits = edits_of(plan.digits.values(), merged(plan.texts, texts))
    result = outcomes(library.files, edits, plan.digits.values())
    if edits:
        changed = {item.file: item.data for item in result.values() if isinstance(item, Changed)}
        twin = library.twin(changed)
        spread(lambda root: _read_again(root, plan, edits, *twin, also), plan.roots, _length)
    return result


def _read_again(
    root: RootPlan,
    plan: Plan,
    edits: Mapping[SourceFile, Edits],
    twin: Library,
    files: Mapping[SourceFile, SourceFile],
    also: Callable[[RootPlan, Reading], None] | None,
) -> None:
    again = read(twin.reopen(files[root.reading.root]), twin)
    refuse_unless_same_music(root.reading, Again(again, files), plan.digits, edits)
    if plan.hand_settings is not None:
        from .handsigns import refuse_unless_same_hands

        refuse_unless_same_hands(root, again, plan.hand_settings, plan.excerpt.staves)
    if also is not None:
        also(root, again)


def _length(root: RootPlan) -> int:
    return sum(len(score.notes) for score in root.reading.scores)


def _pace(reading: Reading, score: Score, config: Config) -> Pace:
    unprinted = [other for other in reading.scores if not other.printed]
    return pace(score, config.tempo or DEFAULT_TEMPO, unprinted)


def _fingered(scores: Sequence[Score], hands: Sequence[Hands], solved: Iterable[SolvedPassage]) -> list[list[Fingered]]:
    """What was decided for every note of every score."""
    placed: dict[Score, dict[int, tuple[int | None, int]]] = {score: {} for score in scores}
    for item in solved:
        found = placed[item.part.score]
        for strings, fingers, placing in zip(item.part.notes, item.answer.fingers, item.answer.placings, strict=True):
            for indices, finger in zip(strings, fingers, strict=True):
                for index in indices:
                    found[index] = (finger, placing)
    return [
        [
            _decided(note, hand, *placed[score].get(index, (None, None)))
            for index, (note, hand) in enumerate(zip(score.notes, item.hands, strict=True))
        ]
        for score, item in zip(scores, hands, strict=True)
    ]


def _decided(note: Note, hand: Hand | None, finger: int | None, placing: int | None) -> Fingered:
    source = note.source
    if source.locked:
        return Fingered(hand, held_to(source), Origin.LOCKED, placing) if note.plucked else _bare(hand, placing)
    if finger is None or source.unmarkable is not None or note.marks & _THUMBS_OWN:
        return _bare(hand, placing)
    return Fingered(hand, finger, Origin.SUGGESTED, placing)


def _bare(hand: Hand | None, placing: int | None) -> Fingered:
    return Fingered(hand, None, None, placing)


def _digits(
    scores: Sequence[Score],
    fingered: Sequence[Sequence[Fingered]],
    excerpt: Excerpt,
    beside: Callable[[Note], bool],
) -> tuple[dict[Place, Digit], list[Message]]:
    """The new digit of each source note that gets one, and a warning for each that has no room for it."""
    soundings: dict[Place, list[tuple[Note, Fingered]]] = {}
    selected: set[Place] = set()
    for score, rows in zip(scores, fingered, strict=True):
        takes = None if excerpt.is_whole else excerpt.within(score)
        for note, row in zip(score.notes, rows, strict=True):
            if row.origin is Origin.SUGGESTED:
                soundings.setdefault(note.source.place, []).append((note, row))
                if takes is not None and takes(note):
                    selected.add(note.source.place)
    safe: dict[Place, Digit] = {}
    no_room: list[Message] = []
    for place, found in soundings.items():
        if excerpt.is_whole or place in selected:
            digit = _digit(found, beside)
            if digit.is_safe:
                safe[place] = digit
            else:
                no_room.append(digit.unsafe_message())
    return safe, no_room


def _digit(soundings: Sequence[tuple[Note, Fingered]], beside: Callable[[Note], bool]) -> Digit:
    note, row = soundings[0]
    if beside(note):
        side = BESIDE
    else:
        side = digit_side([(sounding.side, other.hand) for sounding, other in soundings if other.hand is not None])
    assert row.finger is not None
    return Digit(note.source.place, note.source.insert_at, row.finger, side)


def _name_of(reading: Reading, score: Score) -> str:
    several = sum(1 for other in reading.scores if other.printed) > 1
    return f"score {score.index + 1} of {reading.root.name}" if several else reading.root.name


def _problems(solved: Sequence[SolvedPassage], names: Mapping[Score, str], reach: Reach) -> Iterator[Message]:
    uses = Uses([item.part for item in solved], [item.answer for item in solved], names, reach)
    for number, item in enumerate(solved):
        for problem in item.answer.problems:
            text = uses.conflict(number, problem.onset) if problem.rule == REUSED else None
            yield _problem(item.part, problem._replace(text=text or problem.text))
        yield from _unproven(item)


def _unproven(item: SolvedPassage) -> Iterator[Message]:
    if item.answer.cost != item.answer.bound:
        text = (
            f"these digits cost {item.answer.cost} and may not be the best: no less than {item.answer.bound} is proven"
        )
        yield Message(Severity.WARNING, item.part.first(0).source.place, text, "not-proven-best")


def _problem(part: HandPassage, problem: Problem) -> Message:
    note = part.first(problem.onset)
    bar = part.score.bar_number(note)
    severity = Severity.WARNING if problem.rule == REUSED else Severity.ERROR
    return Message(severity, note.source.place, problem.text, problem.rule, bar=bar)


def _roots(
    readings: Sequence[Reading],
    scores: Sequence[tuple[Reading, Score]],
    hands: Sequence[Hands],
    fingered: Sequence[Sequence[Fingered]],
    paces: Sequence[Pace],
) -> Iterator[RootPlan]:
    for reading in readings:
        own = [index for index, (whose, _) in enumerate(scores) if whose is reading]
        yield RootPlan(
            reading,
            tuple(scores[index][1] for index in own),
            tuple(hands[index] for index in own),
            tuple(tuple(fingered[index]) for index in own),
            tuple(paces[index] for index in own),
        )
