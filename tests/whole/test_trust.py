"""A score is data: what a run reads, writes and starts is what was named, and nothing of the score is run."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from .audited import NETWORK, PROCESSES, audited
from .command import PROJECT, lyfinger

TUNE = r"""
tune = { c'4 d' e' f' }
#(system "touch ran-by-scheme")
#(with-output-to-file "ran-by-scheme" (lambda () (display 1)))
"""
SCORE = r"""
\version "2.24.0"
\include "notes/tune.ily"
\include "english.ly"
#(load "secret.scm")
#(primitive-load "/etc/passwd")
$(open-input-file "secret.scm")
\header { title = #(getenv "HOME") }
rightHand = { \tune $(begin (system "touch ran-by-scheme") #{ c'4 #}) c'4 }
\score { \new PianoStaff << \new Staff = "RH" \rightHand \new Staff = "LH" { \clef bass c4 e g c' } >> \layout { } }
"""
FILES_THERE = {
    "part.ly": SCORE,
    "notes/tune.ily": TUNE,
    "lyfinger.toml": 'hand = "medium"\n',
    "old.ly": SCORE,
    "secret.scm": '(system "touch ran-by-scheme")',
    "secret.ily": "a = { c' }",
    "notes/secret.ily": "a = { c' }",
    ".lyfinger/part.ly.json": "{}",
}
READ = {"part.ly", "notes/tune.ily", "lyfinger.toml"}
RUNS = {
    "mark part.ly": (READ, set()),
    "mark part.ly -o out.ly": (READ, {"out.ly"}),
    "mark part.ly --output-dir build": (
        READ,
        {"build/part.ly", "build/notes/tune.ily", "build/.lyfinger/part.ly.json"},
    ),
    "mark part.ly --in-place": (READ, {"part.ly", "notes/tune.ily"}),
    "mark part.ly --pedals --brackets --chords left": (READ, set()),
    "mark part.ly --keep old.ly": (READ | {"old.ly"}, set()),
    "mark part.ly --jobs 2": (READ, set()),
    "check part.ly": (READ, set()),
    "check part.ly --format sarif": (READ, set()),
    "notes part.ly": (READ, set()),
    "explain part.ly --bars 1-2": (READ, set()),
    "pedals part.ly": (READ, set()),
    "pedals part.ly --respell": (READ, set()),
    "clear part.ly -o out.ly": (READ, {"out.ly"}),
    "diff old.ly part.ly": (READ | {"old.ly"}, set()),
    "rules": ({"lyfinger.toml"}, set()),
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A score that tries what a score can try, beside files that it has no business with."""
    for name, text in FILES_THERE.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text)
    return tmp_path


@pytest.mark.parametrize("line", RUNS)
def test_a_run_touches_what_was_named_and_nothing_else(line: str, folder: Path) -> None:
    reads, writes = RUNS[line]
    audit = audited(*line.split(), folder=folder)
    assert audit.status in (0, 1), audit.err
    assert not audit.of(*NETWORK)
    assert not audit.of(*(name for name in PROCESSES if name != "os.fork"))
    assert bool(audit.of("os.fork")) <= ("--jobs" in line)
    cache = str(folder / "cache")
    opened = {path for path in audit.opened() if not path.startswith(cache) and not os.path.isdir(path)}
    assert opened <= {os.devnull, *(str(folder / name) for name in reads)}, "more is read than was named"
    assert opened >= {str(folder / name) for name in reads}
    got_names = {path for path in audit.opened(writing=True) if not path.startswith(cache)}
    assert len(got_names) == len(writes)
    for name in writes:
        place = folder / name
        beside = [path for path in got_names if path.startswith(str(place.parent / f".{place.name}."))]
        assert len(beside) == 1, "written beside its target, then renamed"
    there = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert {name for name in there if not name.startswith("cache/")} == FILES_THERE.keys() | writes


def test_scheme_would_have_run_in_the_typesetter(folder: Path) -> None:
    """The trap is one: where proof starts the typesetter, which README says, the score's code runs, in its copy."""
    audit = audited("proof", "part.ly", "-o", "page.html", folder=folder)
    assert not audit.of(*NETWORK)
    (program,) = audit.of("subprocess.Popen")
    assert "lilypond" in os.path.basename(program)
    assert not audit.of(*(name for name in PROCESSES if name not in ("subprocess.", "os.fork"))), (
        "fork: it weighs in all processors"
    )
    assert any(path.endswith("/ran-by-scheme") for path in audit.of("os.remove")), "in a folder that is thrown away"
    assert not (folder / "ran-by-scheme").exists()


def test_the_hook_sees_what_it_should(tmp_path: Path) -> None:
    """A hook that hears nothing would forbid nothing."""
    script = (
        "import os, socket, subprocess, sys; from tests.whole.audited import _tell_all; _tell_all(2);"
        "open('/dev/null').close(); open('w', 'w').close(); subprocess.run([sys.executable, '-c', '']);"
        "socket.socket().close(); os.system('true')"
    )
    environment = {**os.environ, "PYTHONPATH": str(PROJECT)}
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=tmp_path, env=environment, capture_output=True, check=True
    )
    told = [json.loads(line) for line in done.stderr.splitlines()]
    events = {event for event, _, _ in told}
    assert {"open", "subprocess.Popen", "os.system"} <= events
    assert any(event.startswith("socket.") for event in events)
    assert ["open", str(tmp_path / "w"), True] in told
    assert ["open", "/dev/null", False] in told


def test_a_picture_is_read_only_where_it_is_carried_along(folder: Path) -> None:
    """A score names a file far away; --output-dir refuses it by name, and has not opened it."""
    far = folder.parent / f"{folder.name}-far.eps"
    far.write_text("%!PS")
    (folder / "pictured.ly").write_text(f'\\markup \\epsfile #X #5 #"{far}"\n{{ c\'4 }}\n')
    audit = audited("mark", "pictured.ly", "--output-dir", "build", folder=folder)
    assert audit.status == 2
    assert str(far) in audit.err
    assert "lies outside the root" in audit.err
    assert str(far) not in audit.opened()


@pytest.mark.parametrize("name", ["/etc/hostname", "../{far}", "missing.ily"])
def test_records_lead_nowhere_outside_the_tree(name: str, folder: Path) -> None:
    """What an output directory remembers was written by somebody: names that lead out of it count as nothing."""
    far = folder.parent / f"{folder.name}-far.ily"
    far.write_text("a = 1")
    name = name.format(far=far.name)
    record = {"root": "other.ly", "settings": "x", "inputs": {name: "0"}, "outputs": {"notes/tune.ily": "0"}}
    assert lyfinger("mark", "part.ly", "--output-dir", "build", folder=folder).status == 0
    ours = json.loads((folder / "build/.lyfinger/part.ly.json").read_bytes())
    record["settings"] = ours["settings"]
    (folder / "build/.lyfinger/other.ly.json").write_text(json.dumps(record))
    os.mkfifo(folder / "build/.lyfinger/pipe.json")
    (folder / "build/.lyfinger/deep.json").write_text("[" * 100_000)
    (folder / "build/.lyfinger/list.json").write_text("[1, 2]")
    audit = audited("mark", "part.ly", "--output-dir", "build", folder=folder)
    assert (audit.status, [path for path in audit.opened() if not path.startswith(str(folder))]) == (0, [])
