"""``lyfinger check``: findings on standard output, and an exit status fit for a build."""

from __future__ import annotations

import re
from pathlib import Path

from .conftest import Result, Run

FINDING = re.compile(r"[^:]+:\d+:\d+: (error|warning): .* \[[a-z0-9-]+\]")
TOO_WIDE = b"\\version \"2.24.0\"\n\\new Staff = \"RH\" { c'4 d' <c' a''>2 }\n"
PASSED_ON = b"""\\version "2.24.0"
\\new PianoStaff << \\new Staff = "RH" { <c' e' g' c'' e''>1 } \\new Staff = "LH" { r1 } >>
"""


def test_nothing_to_say(run: Run) -> None:
    assert run("check", "single.ly", "parts/harp.ly", "scores/full.ly") == Result(0, b"", b"")


def test_an_error_is_found(run: Run, repository: Path) -> None:
    (repository / "single.ly").write_bytes(TOO_WIDE)
    result = run("check", "single.ly")
    assert (result.status, result.err) == (1, b"")
    lines = result.out.decode().splitlines()
    assert all(FINDING.fullmatch(line) for line in lines)
    assert any(line.startswith("single.ly:2:29: error: ") and line.endswith("(bar 1) [reach]") for line in lines)


def test_a_warning_fails_only_when_asked(run: Run, repository: Path) -> None:
    (repository / "single.ly").write_bytes(PASSED_ON)
    result = run("check", "single.ly")
    assert result.status == 0
    assert ": warning: " in result.out.decode()
    assert run("check", "single.ly", "--fail-on", "warning") == Result(1, result.out, b"")
    assert run("check", "single.ly", "--fail-on", "error").status == 0


def test_findings_of_several_files_are_in_order(run: Run, repository: Path) -> None:
    for name in ("b.ly", "a.ly"):
        (repository / name).write_bytes(TOO_WIDE)
    lines = run("check", "b.ly", "a.ly").out.decode().splitlines()
    assert [line.split(":")[0] for line in lines] == sorted((line.split(":")[0] for line in lines), reverse=True)
    assert {line.split(":")[0] for line in lines} == {"a.ly", "b.ly"}


def test_each_file_has_its_own_configuration(run: Run, repository: Path) -> None:
    for name in ("small", "large"):
        (repository / name).mkdir()
        (repository / name / "lyfinger.toml").write_text(f'hand = "{name}"\n')
        (repository / name / "a.ly").write_bytes(TOO_WIDE.replace(b"a''", b"e''"))
    files = {line.split(":")[0] for line in run("check", "small/a.ly", "large/a.ly").out.decode().splitlines()}
    assert files == {"small/a.ly"}


def test_check_writes_nothing_and_refuses_in_one_line(run: Run, repository: Path) -> None:
    result = run("check", "single.ly", "nothing.ly")
    assert result == Result(2, b"", b"lyfinger: can't read nothing.ly: No such file or directory\n")


def test_strict(run: Run, repository: Path) -> None:
    (repository / "single.ly").write_bytes(b"\\new Staff = \"RH\" { c' \\someThingOfMyOwn { d' } e' }\n")
    result = run("check", "single.ly", "--strict")
    assert (result.status, result.out, len(result.lines)) == (2, b"", 1)
