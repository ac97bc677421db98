"""``lyfinger diff`` as a user types it: exit status and both streams."""

from __future__ import annotations

import json
from pathlib import Path

from .conftest import NOTES, NOTES_MARKED, SINGLE, SINGLE_MARKED, Result, Run


def test_the_same_digits(run: Run) -> None:
    assert run("diff", "single.ly", "single.ly") == Result(0, b"", b"")
    spelled = SINGLE.replace(b"f'-1", b'f\'\\finger "1"')
    assert run("diff", "single.ly", "-", stdin=spelled) == Result(0, b"", b"")
    assert run("diff", "single.ly", "-", "--format", "json", stdin=SINGLE).out == b'{"differences": []}\n'


def test_what_a_marking_has_added(run: Run) -> None:
    result = run("diff", "single.ly", "-", stdin=SINGLE_MARKED)
    assert (result.status, result.err) == (1, b"")
    assert result.out.decode().splitlines() == [
        "-:2:21: bar 1, beat 1, right hand, C4: no digit → 4",
        "-:2:27: bar 1, beat 2, right hand, D4: no digit → 3",
        "-:2:32: bar 1, beat 3, right hand, E4: no digit → 2",
    ]


def test_notes_that_came_and_went(run: Run) -> None:
    revised = SINGLE.replace(b"e' f'-1", b"g'-2 f'-1 | c''1-1")
    result = run("diff", "single.ly", "-", stdin=revised)
    assert result.out.decode().splitlines() == [
        "single.ly:2:28: bar 1, beat 3, right hand, E4: note gone",
        "-:2:28: bar 1, beat 3, right hand, G4: new note, with 2",
        "-:2:40: bar 2, beat 1, right hand, C5: new note, with 1",
    ]


def test_json(run: Run) -> None:
    result = run("diff", "single.ly", "-", "--format", "json", stdin=SINGLE.replace(b"f'-1", b"f'-2-1"))
    assert result.status == 1
    note = {"line": 2, "column": 31, "score": 1, "bar": 1, "beat": "4", "pitch": "F4", "also_in_bars": []}
    assert json.loads(result.out) == {
        "differences": [
            {
                "change": "digit",
                "hand": "right",
                "old": {"file": "single.ly", **note, "digits": ["1"]},
                "new": {"file": "-", **note, "digits": ["2", "1"]},
            }
        ]
    }


def test_an_old_version_from_elsewhere_finds_what_it_includes(run: Run, repository: Path, tmp_path: Path) -> None:
    """As ``git show`` puts it somewhere else: beside itself first, then as the new version does."""
    (repository / "attic").mkdir()
    part = (repository / "parts" / "harp.ly").read_bytes()
    (repository / "attic" / "harp.ly").write_bytes(part)
    (repository / "attic" / "old.ly").write_bytes(part.replace(b"../notes/tune.ily", b"tune.ily"))
    (repository / "parts" / "tune.ily").write_bytes(NOTES_MARKED)
    result = run("diff", "attic/old.ly", "parts/harp.ly")
    assert (result.status, result.lines) == (1, [])
    assert len(result.out.splitlines()) == 8
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES


def test_what_is_refused(run: Run) -> None:
    both = run("diff", "-", "-", stdin=SINGLE)
    assert (both.status, both.lines) == (2, ["lyfinger: diff: only one of both can be standard input"])
    missing = run("diff", "single.ly", "gone.ly")
    assert (missing.status, missing.out, len(missing.lines)) == (2, b"", 1)
    staves = run("diff", "single.ly", "single.ly", "--staves", "LH")
    assert (staves.status, staves.lines) == (2, ['lyfinger: no staff is called "LH"; there is RH'])
