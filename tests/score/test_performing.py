"""Performing order against the typesetter's own unfolding (PyPI ``lilypond`` 2.25.12), live."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest

from lyfinger.score.grid import Grid
from lyfinger.score.model import Repeat
from lyfinger.score.performing import Hop, Time
from lyfinger.score.performing import hops as counted_hops

from .typesetter_order import played

#: Music in whole notes, every note of another pitch (c d e f g … from middle C); and its repeats as read.
PIECES: dict[str, tuple[str, list[Repeat]]] = {
    "no repeat": ("c' d' e'", []),
    "a repeat": (r"c' \repeat volta 2 { d' e' } f'", [Repeat(F(1), F(3), 2)]),
    "a repeat to the end": (r"\repeat volta 2 { c' d' e' }", [Repeat(F(0), F(3), 2)]),
    "one note repeated": (r"c' \repeat volta 2 { d' } e'", [Repeat(F(1), F(2), 2)]),
    "two repeats": (
        r"\repeat volta 2 { c' d' } \repeat volta 3 { e' f' } g'",
        [Repeat(F(0), F(2), 2), Repeat(F(2), F(4), 3)],
    ),
    "alternatives": (
        r"\repeat volta 2 { c' d' } \alternative { { e' } { f' g' } } a'",
        [Repeat(F(0), F(2), 2, ((F(2), F(3), (1,)), (F(3), F(5), (2,))))],
    ),
    "alternatives without numbers": (
        r"\repeat volta 4 { c' d' } \alternative { { e' } { f' g' } } a'",
        [Repeat(F(0), F(2), 4, ((F(2), F(3), ()), (F(3), F(5), ())))],
    ),
    "three alternatives": (
        r"\repeat volta 3 { c' d' } \alternative { { e' } { f' } { g' } } a'",
        [Repeat(F(0), F(2), 3, ((F(2), F(3), (1,)), (F(3), F(4), (2,)), (F(4), F(5), (3,))))],
    ),
    "alternatives that take turns": (
        r"\repeat volta 3 { c' d' \alternative { \volta 1,3 { e' } \volta 2 { f' } } } a'",
        [Repeat(F(0), F(2), 3, ((F(2), F(3), (1, 3)), (F(3), F(4), (2,))))],
    ),
    "music behind the alternatives": (
        r"\repeat volta 2 { c' d' \alternative { \volta 1 { e' } \volta 2 { f' } } g' } a'",
        [Repeat(F(0), F(5), 2, ((F(2), F(3), (1,)), (F(3), F(4), (2,))))],
    ),
    "an alternative for the first time only": (
        r"\repeat volta 2 { c' d' \alternative { \volta 1 { e' } } } a' b'",
        [Repeat(F(0), F(2), 2, ((F(2), F(3), (1,)),))],
    ),
    "a detour the first time": (
        r"\repeat volta 2 { c' d' \alternative { \volta 1 { e' } } f' } a' b'",
        [Repeat(F(0), F(4), 2, ((F(2), F(3), (1,)),))],
    ),
    "a repeat in a repeat": (
        r"\repeat volta 2 { c' \repeat volta 2 { d' e' } f' } g'",
        [Repeat(F(0), F(4), 2), Repeat(F(1), F(3), 2)],
    ),
    "two repeats that end together": (
        r"\repeat volta 2 { c' \repeat volta 2 { d' e' } } g'",
        [Repeat(F(0), F(3), 2), Repeat(F(1), F(3), 2)],
    ),
    "two repeats that begin together": (
        r"\repeat volta 2 { \repeat volta 2 { c' d' } e' } g'",
        [Repeat(F(0), F(3), 2), Repeat(F(0), F(2), 2)],
    ),
    "a repeat in an alternative": (
        r"\repeat volta 2 { c' } \alternative { { \repeat volta 2 { d' e' } } { f' } } g'",
        [Repeat(F(0), F(1), 2, ((F(1), F(3), (1,)), (F(3), F(4), (2,)))), Repeat(F(1), F(3), 2)],
    ),
    "an alternative without notes": (
        r"\repeat volta 2 { c' d' } \alternative { { r } { f' } } g'",
        [Repeat(F(0), F(2), 2, ((F(2), F(3), (1,)), (F(3), F(4), (2,))))],
    ),
    "a repeated rest": (r"c' \repeat volta 2 { r } d' e'", [Repeat(F(1), F(2), 2)]),
}


GRID = Grid([F(1, 8)])


def hops(times: list[Time], repeats: list[Repeat]) -> list[Hop]:
    """The hops between times in whole notes; their spans are in eighths."""
    return counted_hops([(GRID.at(moment), GRID.at(grace)) for moment, grace in times], repeats, GRID)


@pytest.fixture(scope="module")
def wanted(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[int]]:
    music = [piece.replace("'", "'1", 1) for piece, _ in PIECES.values()]
    return dict(zip(PIECES, played(music, tmp_path_factory.mktemp("order")), strict=True))


def times_of(piece: str) -> list[tuple[F, F]]:
    """The printed moments of the notes of a piece in whole notes."""
    tokens = [token.strip("'") for token in piece.replace("{", " ").replace("}", " ").split()]
    events = [token for token in tokens if token in "abcdefgr"]
    return [(F(index), F(0)) for index, token in enumerate(events) if token != "r"]


@pytest.mark.parametrize("name", PIECES)
def test_hops_are_the_typesetters_neighbours(name: str, wanted: dict[str, list[int]]) -> None:
    piece, repeats = PIECES[name]
    order = wanted[name]
    printed = sorted(set(order))
    neighbours = {(printed.index(one), printed.index(other)) for one, other in pairwise(order)}
    assert len(order) >= 3
    assert {(hop.before, hop.after) for hop in hops(times_of(piece), repeats)} == neighbours


def test_spans_are_the_printed_time_that_passes() -> None:
    repeat = Repeat(F(0), F(2), 2, ((F(2), F(3), (1,)), (F(3), F(4), (2,))))
    times = [(F(1, 2), F(0)), (F(1), F(0)), (F(3), F(0)), (F(4), F(0))]
    assert hops(times, [repeat]) == [
        Hop(0, 1, ((4, 8),)),
        Hop(1, 0, ((8, 16), (16, 24), (0, 4))),
        Hop(1, 2, ((8, 16),)),
        Hop(2, 3, ((24, 32),)),
    ]


def test_grace_notes_come_before_their_note() -> None:
    times = [(F(0), F(0)), (F(1), F(-1, 8)), (F(1), F(0))]
    assert [(hop.before, hop.after) for hop in hops(times, [Repeat(F(1), F(2), 2)])] == [(0, 1), (1, 2), (2, 1)]


def test_the_same_repeat_in_two_staves_counts_once() -> None:
    times = [(F(0), F(0)), (F(1), F(0))]
    assert hops(times, [Repeat(F(0), F(2), 2)] * 2) == hops(times, [Repeat(F(0), F(2), 2)])


def test_numbers_that_leave_out_the_last_pass_still_lead_on() -> None:
    alternatives = ((F(1), F(2), (1,)), (F(2), F(3), (2,)))
    times = [(F(index), F(0)) for index in range(4)]
    found = hops(times, [Repeat(F(0), F(1), 4, alternatives)])
    assert [(hop.before, hop.after) for hop in found] == [(0, 1), (0, 2), (1, 0), (2, 3)]


def test_a_billion_times_cost_nothing() -> None:
    alternatives = ((F(2), F(3), ()), (F(3), F(4), ()))
    times = [(F(index), F(0)) for index in range(5)]
    many = hops(times, [Repeat(F(0), F(2), 10**9, alternatives)])
    assert [(hop.before, hop.after) for hop in many] == [(0, 1), (1, 2), (1, 3), (2, 0), (3, 4)]


def test_nothing_is_played_of_nothing() -> None:
    assert hops([], [Repeat(F(0), F(1), 2)]) == []


class Composer:
    """Makes up music of nested repeats, every note a whole note of its own pitch, and says what repeats it has."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        self.repeats: list[Repeat] = []
        self.notes = 0

    def music(self, depth: int) -> str:
        return " ".join(self.item(depth) for _ in range(self.random.randint(1, 3)))

    def item(self, depth: int) -> str:
        kind = self.random.choice(["note", "note", "repeat", "alternatives"] if depth else ["note"])
        return {"note": self.note, "repeat": self.repeat, "alternatives": self.alternatives}[kind](depth)

    def note(self, depth: int) -> str:
        octave, step = divmod(self.notes, 7)
        self.notes += 1
        return "cdefgab"[step] + ("'" * (octave + 1))

    def repeat(self, depth: int) -> str:
        start, times = F(self.notes), self.random.randint(2, 3)
        body = self.music(depth - 1)
        self.repeats.append(Repeat(start, F(self.notes), times))
        return f"\\repeat volta {times} {{ {body} }}"

    def alternatives(self, depth: int) -> str:
        start, many = F(self.notes), self.random.randint(2, 3)
        body = self.music(depth - 1)
        end = F(self.notes)
        endings, spans = [], []
        for number in range(many):
            begin = F(self.notes)
            endings.append(f"{{ {self.music(depth - 1)} }}")
            spans.append((begin, F(self.notes), (number + 1,)))
        self.repeats.append(Repeat(start, end, many, tuple(spans)))
        return f"\\repeat volta {many} {{ {body} }} \\alternative {{ {' '.join(endings)} }}"


def test_made_up_pieces_are_played_as_the_typesetter_plays_them(tmp_path: Path) -> None:
    composers = [Composer(seed) for seed in range(40)]
    pieces = [composer.music(2) for composer in composers]
    orders = played([f"s1 {piece}" for piece in pieces], tmp_path)
    tried = 0
    for composer, order in zip(composers, orders, strict=True):
        times = [(F(index), F(0)) for index in range(composer.notes)]
        assert {(hop.before, hop.after) for hop in hops(times, composer.repeats)} == set(pairwise(order))
        tried += len(composer.repeats)
    assert tried > 40
