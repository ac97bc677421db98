"""Long phrases against an independent shortest-path library (networkx): same cost."""

from __future__ import annotations

from random import Random

import networkx as nx
import pytest

from lyfinger.fingering.model import Passage, Step
from lyfinger.fingering.search import place
from lyfinger.fingering.settings import Settings
from lyfinger.fingering.views import Change, form_of
from lyfinger.harp.hand import MEDIUM
from tests.fingering.brute import Brute
from tests.fingering.random_music import GAPS, random_onsets


def long_passage(rng: Random, count: int) -> Passage:
    return Passage(random_onsets(rng, count), tuple(Step(i, i + 1, rng.choice(GAPS)) for i in range(count - 1)))


def shortest(music: Passage, settings: Settings) -> int:
    """One node for each placing (start, end, shape), joined where one ends and the next starts."""
    brute = Brute(music, MEDIUM, settings)
    total = 0
    for group in brute.plan.groups:
        for chain in group.chains:
            graph: nx.DiGraph[object] = nx.DiGraph()
            ending: dict[int, list[tuple[int, int, tuple[tuple[int, int], ...]]]] = {}
            starting: dict[int, list[tuple[tuple[int, int, tuple[tuple[int, int], ...]], int]]] = {}
            for (start, end), shapes in brute.placings(chain).items():
                for shape, cost in shapes:
                    node = (start, end, tuple(shape.items()))
                    ending.setdefault(end, []).append(node)
                    starting.setdefault(start, []).append((node, cost))
            last = len(chain.onsets) - 1
            for node, cost in starting[0]:
                graph.add_edge("start", node, weight=cost)
            for end, nodes in ending.items():
                for old in nodes:
                    if end == last:
                        graph.add_edge(old, "end", weight=0)
                        continue
                    for new, cost in starting.get(end + 1, []):
                        graph.add_edge(old, new, weight=cost + between(brute, chain.first, chain.hastes, old, new))
            total += int(nx.dijkstra_path_length(graph, "start", "end"))
    return total


def between(
    brute: Brute,
    first: int,
    hastes: tuple[int, ...],
    old: tuple[int, int, tuple[tuple[int, int], ...]],
    new: tuple[int, int, tuple[tuple[int, int], ...]],
) -> int:
    shapes = [dict(old[2]), dict(new[2])]
    before = first + old[1]
    fingers = {
        before + side: tuple(shapes[side][s] for s in brute.passage.onsets[before + side].strings) for side in (0, 1)
    }
    auditor = brute.auditor(fingers)
    items = list(auditor.move(before, before + 1, hastes[old[1]], True))
    left, right = (form_of(tuple(shape), tuple(shape.values())) for shape in shapes)
    change = Change(left, right, hastes[old[1]])
    return sum(item.cost for item in (*items, *auditor.change(change, before, before + 1)))


@pytest.mark.parametrize("seed", range(4))
def test_long_phrases_cost_what_the_shortest_path_costs(seed: int) -> None:
    music = long_passage(Random(f"long {seed}"), 40)
    answer = place(music, MEDIUM)
    assert answer.cost == answer.bound == shortest(music, Settings())
