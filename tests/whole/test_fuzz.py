"""A hundred damaged inputs to all commands: no traceback, an exit status, the source and what was put in or one line,
and an end within limits of time and memory.

More by hand: ``python -m tests.whole.fuzz 1000``.
"""

from __future__ import annotations

from collections import Counter
from functools import cache

import pytest

from .command import lyfinger
from .confined import MEMORY, confined
from .fuzz import KINDS, SOURCES, Trial, trial

SEEDS = range(100)
once = cache(trial)


@pytest.mark.parametrize("seed", SEEDS)
def test_damaged_sources(seed: int) -> None:
    assert once(seed).fault == ""


#: What trials by hand have found, cut down: a command, a source, and what was wrong.
FOUND = [
    ("mark", r"\new \partCombine { c } << e { } >>", "an internal error: a note in no staff"),
    ("mark", r'\v"" \new { <<{} \new Voice{\voiceTwo d}\\ >> }', "an internal error: a note in no staff"),
    ("clear", r"{ f'8-\tweak ^2 g'1 }", "an internal error: \\tweak took the note behind the digit"),
    ("pedals", "{ c'" + "9" * 4301 + " d' }", "an internal error: Python refuses to read such numbers"),
    ("mark", 'f = #(define-music-function (m) (ly:music?) #{ \\include "x.ily" #m #})\n{ \\f c }', "an internal error"),
    ("explain --bars 1-3", "R1*999999 { c'4 d' }", "half a minute: bars in which nothing begins were listed"),
]


@pytest.mark.parametrize(("command", "source", "fault"), FOUND, ids=range(len(FOUND)))
def test_what_was_found(command: str, source: str, fault: str) -> None:
    name, *options = command.split()
    ended = confined(lambda: lyfinger(name, "-", *options, "--stdin-filename", "test.ly", stdin=source.encode()))
    assert not ended.fault, fault
    assert ended.value.status in (0, 2)
    assert "internal error" not in ended.value.err, fault


def test_enough_of_them_are_done() -> None:
    """Damage that is always refused would test nothing."""
    done = Counter(once(seed).status for seed in SEEDS)
    assert len(SEEDS) // 4 <= done[0] <= len(SEEDS) * 9 // 10
    assert done[2] >= 5


def test_every_command_is_tried() -> None:
    tried = {once(seed).kind for seed in SEEDS}
    assert len(KINDS.keys() - tried) <= 2, "by chance one or two may be left out of a hundred, and no more"
    assert {"mark", "clear", "check", "notes"} <= tried


def test_there_is_something_to_damage() -> None:
    assert len(SOURCES) > 60


def test_the_same_seed_is_the_same_trial() -> None:
    def outcome(item: Trial) -> tuple[object, ...]:
        return item.kind, item.source, item.name, item.status, item.fault

    assert outcome(trial(3)) == outcome(once(3))


def test_limits_are_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    assert confined(lambda: 7).value == 7
    assert "MemoryError" in confined(lambda: bytearray(2 * MEMORY)).fault
    assert "ZeroDivisionError" in confined(lambda: 1 // 0).fault
    monkeypatch.setattr("tests.whole.confined.PROCESSOR", 1)
    assert confined(_for_ever).fault == "it took more than 1 s"


def _for_ever() -> None:
    while True:
        pass
