"""How a passage falls apart: free lifts, chains of connected onsets, jumps between them, and what ties chains together.

A *chain* is a run of onsets, each a connected step after the one before: a phrase between two free lifts. A *jump*
is a connected step that does not go to the next onset (a repeat back to its beginning, the step into a later
alternative). At both ends of a jump a placing ends. Chains hang together where a jump joins them or where a source
note sounds in both; such a *group* is decided as one. Everything else is solved alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from typing import NamedTuple

from ..harp.reach import Reach
from ..together import Together
from .model import Passage, Problem, Step
from .problems import problem_of
from .settings import Settings


class Chain(NamedTuple):
    """Onsets ``first`` to ``last`` (indices). ``hastes[i]`` belongs to the step after the i-th of them; ``cuts``
    are the positions (counted from ``first``) at which a placing has to start."""

    first: int
    last: int
    hastes: tuple[int, ...]
    cuts: frozenset[int]

    @property
    def onsets(self) -> range:
        """The indices of the chain's onsets."""
        return range(self.first, self.last + 1)


class Jump(NamedTuple):
    """A connected step from one onset to another that is not the next (indices)."""

    before: int
    after: int
    haste: int


class Group(NamedTuple):
    """Chains that have to be decided together, and the jumps between them."""

    chains: tuple[Chain, ...]
    jumps: tuple[Jump, ...]


class Plan(NamedTuple):
    """A passage taken apart. ``glides[i]`` is the direction of a glissando from onset i (1, −1, 0 for none)."""

    problems: dict[int, Problem]
    glides: tuple[int, ...]
    lifts: frozenset[int]
    groups: tuple[Group, ...]


def _glides(passage: Passage) -> tuple[int, ...]:
    """Where each glissando goes: from the top string of its onset to the top string of the next onset played."""
    glides = [0] * len(passage.onsets)
    for step in passage.steps:
        onset = passage.onsets[step.before]
        if onset.glissando and not glides[step.before]:
            way = passage.onsets[step.after].strings[-1] - onset.strings[-1]
            glides[step.before] = (way > 0) - (way < 0)
    return tuple(glides)


def _free(step: Step, passage: Passage, problems: Collection[int], settings: Settings) -> bool:
    """Whether the hand may lift freely at this step: it then keeps nothing of what was before."""
    before, after = passage.onsets[step.before], passage.onsets[step.after]
    if step.pause or before.thumb_only or after.thumb_only or step.before in problems or step.after in problems:
        return True
    return step.gap >= settings.lift_gap and not before.glissando


def _chains(passage: Passage, tied: dict[int, int], cut: set[int], problems: Collection[int]) -> list[Chain]:
    """``tied`` holds the haste of each connected step to the next onset, ``cut`` where a placing has to start."""
    chains: list[Chain] = []
    first = 0
    for index in range(len(passage.onsets)):
        if index in tied:
            continue
        if first not in problems:
            hastes = tuple(tied[i] for i in range(first, index))
            cuts = frozenset(i - first for i in range(first + 1, index + 1) if i in cut)
            chains.append(Chain(first, index, hastes, cuts))
        first = index + 1
    return chains


def _groups(passage: Passage, chains: list[Chain], jumps: list[Jump]) -> tuple[Group, ...]:
    together = Together(range(len(chains)))
    home: dict[int, int] = {}
    by_key: dict[int, int] = {}
    for number, chain in enumerate(chains):
        for index in chain.onsets:
            home[index] = number
            for key in passage.onsets[index].keys:
                first = by_key.setdefault(key, number)
                if first != number:
                    together.join(first, number)
    for jump in jumps:
        together.join(home[jump.before], home[jump.after])
    jumps_of: dict[int, list[Jump]] = defaultdict(list)
    for jump in jumps:
        jumps_of[together.leader(home[jump.before])].append(jump)
    return tuple(
        Group(tuple([chains[number] for number in found]), tuple(jumps_of[together.leader(found[0])]))
        for found in together.groups()
    )


def survey(passage: Passage, reach: Reach, settings: Settings, refused: dict[int, Problem] | None = None) -> Plan:
    """Take a passage apart. ``refused`` are onsets found impossible on other grounds: treated as problems.

    Where the same step is played more than once, the most hurried time counts.
    """
    problems = dict(refused or {})
    for index, onset in enumerate(passage.onsets):
        found = problem_of(onset, index, reach)
        if found is not None:
            problems[index] = found
    glides = _glides(passage)
    tied: dict[int, int] = {}
    jumps: dict[tuple[int, int], int] = {}
    cut = {index + 1 for index, way in enumerate(glides) if way}
    bound: set[int] = set()
    for step in passage.steps:
        straight = step.after == step.before + 1
        if not straight:
            cut.update((step.before + 1, step.after))
        if _free(step, passage, problems, settings):
            continue
        bound.add(step.after)
        haste = settings.haste(step.gap)
        if straight:
            tied[step.before] = max(haste, tied.get(step.before, 0))
        else:
            way = (step.before, step.after)
            jumps[way] = max(haste, jumps.get(way, 0))
    chains = _chains(passage, tied, cut, problems)
    found_jumps = [Jump(before, after, haste) for (before, after), haste in jumps.items()]
    lifts = frozenset(range(len(passage.onsets))) - bound
    return Plan(problems, glides, lifts, _groups(passage, chains, found_jumps))
