"""Digits chosen outside the source: put in, planned around, and refused where they can't be."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest

from lyfinger.cli.options import build_parser
from lyfinger.cli.session import open_sessions
from lyfinger.marking.locks import parse_locks
from lyfinger.marking.plan import Plan, make_plan
from lyfinger.source.messages import Refused
from tests.whole.command import lyfinger

TEXT = b"\\version \"2.24.0\"\n\\new Staff = \"RH\" { c'8 d' e' f' g'4-1 <c' e'>4~ <c' e'>2 }\n"
NOTE = {"line": 2, "column": 21, "finger": 3}


def _locks(*digits: dict[str, Any], data: bytes = TEXT, name: str = "part.ly") -> bytes:
    files = [{"name": name, "sha256": hashlib.sha256(data).hexdigest(), "digits": list(digits)}]
    return json.dumps({"lyfinger-locks": 1, "files": files}).encode()


def _mark(folder: Path, locks: bytes, *options: str) -> tuple[int, bytes, str]:
    (folder / "part.ly").write_bytes(TEXT)
    (folder / "locks.json").write_bytes(locks)
    done = lyfinger("mark", "part.ly", "--locks", "locks.json", *options, folder=folder)
    return done.status, done.out, done.err


def test_chosen_digits_are_put_in_and_planned_around(tmp_path: Path) -> None:
    status, out, err = _mark(tmp_path, _locks(NOTE))
    assert (status, err) == (0, "")
    assert b"{ c'8^3 d'^4 e'^3 f'^2 g'4-1 " in out
    assert b"{ c'8^3 " not in lyfinger("mark", "part.ly", folder=tmp_path).out


@pytest.mark.parametrize("density", ["placings", "needed"])
def test_a_chosen_digit_is_printed_at_any_density(density: str, tmp_path: Path) -> None:
    second = {"line": 2, "column": 25, "finger": 2}
    assert b" d'^2 " in _mark(tmp_path, _locks(second), "--density", density)[1]


def test_marked_again_nothing_is_added(tmp_path: Path) -> None:
    out = _mark(tmp_path, _locks(NOTE))[1]
    (tmp_path / "part.ly").write_bytes(out)
    assert lyfinger("mark", "part.ly", folder=tmp_path).out == out


def test_chosen_digits_are_planned_as_the_command_plans(tmp_path: Path) -> None:
    """With locks or without, in as many processes as were asked for."""
    asked: list[object] = []

    def planner(*given: Any, **chosen: Any) -> Plan:
        asked.extend(chosen)
        return make_plan(*given, **chosen)

    (tmp_path / "part.ly").write_bytes(TEXT)
    (tmp_path / "locks.json").write_bytes(_locks(NOTE, name=str(tmp_path / "part.ly")))
    line = ["mark", str(tmp_path / "part.ly"), "--locks", str(tmp_path / "locks.json")]
    open_sessions(build_parser().parse_args(line), line[1:2], planner)
    assert asked == ["chosen"]


REFUSED = [
    (_locks({**NOTE, "column": 22}), "part.ly:2:22: error: no note stands here that could take the chosen digit"),
    (_locks({**NOTE, "column": 999}), "part.ly has no line 2 with a column 999 to lock a digit at"),
    (_locks({**NOTE, "column": 34}), "part.ly:2:34: error: a digit stands here already"),
    (_locks(NOTE, data=b"other"), "part.ly has changed since its locks were chosen: make the proof anew"),
    (_locks(NOTE, data=b"other", name="x.ly"), "x.ly has locks, and is none of the files that are read"),
    (b"{", "locks.json holds no locks: it is not JSON"),
    (b"[]", "locks.json holds no locks, as the page"),
    (b'{"lyfinger-locks": 2}', "locks.json: these locks are of another version (lyfinger-locks 2, not 1)"),
    (b'{"lyfinger-locks": 1, "files": [{}]}', "locks.json: these locks are damaged"),
    (_locks({**NOTE, "finger": 5}), "locks.json: these locks are damaged"),
    (_locks({**NOTE, "finger": True}), "locks.json: these locks are damaged"),
    (_locks(NOTE, {**NOTE, "finger": 2}), "locks.json: these locks are damaged"),
]


@pytest.mark.parametrize(("locks", "said"), REFUSED)
def test_what_is_refused(locks: bytes, said: str, tmp_path: Path) -> None:
    status, out, err = _mark(tmp_path, locks)
    assert (status, out) == (2, b"")
    assert err.removeprefix("lyfinger: ").startswith(said)
    assert err.count("\n") == 1


def test_deep_nesting_is_refused() -> None:
    with pytest.raises(Refused):
        parse_locks(b"[" * 100_000, "deep.json")
