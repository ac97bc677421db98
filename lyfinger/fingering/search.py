"""The entry: a passage in, its fingers out."""

from __future__ import annotations

from collections.abc import Sequence

from ..harp.hand import HandProfile
from .chain import ChainSearch, Line
from .coupled import Joint, JointSearch, Link, Part, merged
from .model import Passage, Placed, Problem
from .plan import Chain, Group, Plan, survey
from .problems import REUSED
from .settings import Settings
from .tables import Tables, tables_for


class _CantAgree(Exception):
    """No one digit serves a note in all its places; ``onset`` is the last place."""

    def __init__(self, onset: int) -> None:
        super().__init__(onset)
        self.onset = onset


def place(passage: Passage, hand: HandProfile, settings: Settings | None = None) -> Placed:
    """The cheapest fingering of a passage, the same for either hand: the thumb is on top in both.

    Every phrase between free lifts is solved alone, unless it shares source notes with others or a repeat joins them.
    Onsets that can't be fingered are listed in ``problems``; they keep their locked digits, get no others, and the
    hand is free before and after them.
    """
    tables = tables_for(hand, settings or Settings())
    tables.trim()
    refused: dict[int, Problem] = {}
    while True:
        plan = survey(passage, tables.reach, tables.settings, refused)
        try:
            answers = [_decide(group, passage, plan, tables) for group in plan.groups]
        except _CantAgree as clash:
            text = "reused notes can't have the same digits here as in their other places"
            refused[clash.onset] = Problem(clash.onset, REUSED, text)
            continue
        return _placed(passage, plan, answers)


def taken_apart(group: Group, passage: Passage, plan: Plan, tables: Tables) -> tuple[list[Part], list[Link]]:
    """What the search looks at in a group: a part for each chain, and the links that its jumps make between them."""
    parts = [_part(chain, passage, plan, tables) for chain in group.chains]
    home = {index: (number, index - c.first) for number, c in enumerate(group.chains) for index in c.onsets}
    return parts, [Link(home[jump.before], home[jump.after], jump.haste) for jump in group.jumps]


def _part(chain: Chain, passage: Passage, plan: Plan, tables: Tables) -> Part:
    onsets = passage.onsets[chain.first : chain.last + 1]
    return Part(
        tuple(tables.pluck(onset, plan.glides[index]) for index, onset in zip(chain.onsets, onsets, strict=True)),
        chain.hastes,
        chain.cuts,
        tuple(onset.keys for onset in onsets),
        tuple(onset.orders for onset in onsets),
    )


def _ranks(values: Sequence[int]) -> tuple[int, ...] | None:
    """Each value's rank; None where they only rise, as in music for one voice."""
    if all(values[i] < values[i + 1] for i in range(len(values) - 1)):
        return None
    rank = {value: number for number, value in enumerate(sorted(set(values)))}
    return tuple(rank[value] for value in values)


def _alone(part: Part, tables: Tables) -> Joint:
    key = (part.plucks, part.hastes, part.cuts, _ranks([order for orders in part.orders for order in orders]))
    line: Line | None = tables.phrases.get(key)
    if line is None:
        line = ChainSearch(tables, part.plucks, part.hastes, part.cuts, part.orders).solve()
        assert line is not None, "every onset of a chain can be placed alone"
        tables.phrases[key] = line
    return Joint((line,), line.cost, line.cost)


def _together(parts: tuple[Part, ...], links: tuple[Link, ...], tables: Tables) -> Joint | None:
    keys = [key for part in parts for onset in part.keys for key in onset]
    orders = [order for part in parts for onset in part.orders for order in onset]
    known: dict[int, int] = {}
    names = tuple(known.setdefault(key, len(known)) for key in keys)
    content = tuple((part.plucks, part.hastes, part.cuts, part.times) for part in parts)
    key = (content, links, names, _ranks(orders))
    if key not in tables.phrases:
        tables.phrases[key] = JointSearch(tables, parts, links).solve()
    found: Joint | None = tables.phrases[key]
    return found


def hangs_together(group: Group, passage: Passage) -> bool:
    """Whether a group is more than one chain of notes that each sound once."""
    keys = [key for chain in group.chains for index in chain.onsets for key in passage.onsets[index].keys]
    return len(group.chains) > 1 or bool(group.jumps) or len(set(keys)) < len(keys)


def _decide(group: Group, passage: Passage, plan: Plan, tables: Tables) -> Joint:
    """The answer for a group, one line for each of its chains."""
    parts, links = taken_apart(group, passage, plan, tables)
    if not hangs_together(group, passage):
        return _alone(parts[0], tables)
    kept, ways, went = merged(parts, links)
    joint = _together(kept, ways, tables)
    if joint is None:
        raise _CantAgree(_last_shared(group, passage))
    return Joint(tuple(joint.lines[number] for number in went), joint.cost, joint.bound)


def _last_shared(group: Group, passage: Passage) -> int:
    """The last onset of a group with several notes of which one sounds elsewhere too."""
    count: dict[int, int] = {}
    indices = [index for chain in group.chains for index in chain.onsets]
    for index in indices:
        for key in passage.onsets[index].keys:
            count[key] = count.get(key, 0) + 1
    return max(
        indices,
        key=lambda i: (any(count[k] > 1 for k in passage.onsets[i].keys), len(passage.onsets[i].keys) > 1, i),
    )


def _placed(passage: Passage, plan: Plan, answers: list[Joint]) -> Placed:
    fingers: list[tuple[int | None, ...]] = [onset.locks for onset in passage.onsets]
    starts = set(plan.problems)
    for group, answer in zip(plan.groups, answers, strict=True):
        for chain, line in zip(group.chains, answer.lines, strict=True):
            fingers[chain.first : chain.last + 1] = line.fingers
            starts.update(chain.first + start for start in line.starts)
    placings, number = [], -1
    for index in range(len(passage.onsets)):
        number += index in starts
        placings.append(number)
    return Placed(
        tuple(fingers),
        tuple(placings),
        plan.lifts,
        cost=sum(answer.cost for answer in answers),
        bound=sum(answer.bound for answer in answers),
        problems=tuple(plan.problems[index] for index in sorted(plan.problems)),
    )
