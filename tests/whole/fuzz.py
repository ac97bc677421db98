"""Trials of every command with damaged input, and many by hand: ``python -m tests.whole.fuzz COUNT [FIRST [KIND…]]``.

Each trial runs in a process of its own, with limits to its time and memory; the same number is the same trial.
"""

from __future__ import annotations

import hashlib
import json
import os
import random
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from .command import PROJECT, READING, SAMPLES, Result, lyfinger
from .confined import confined
from .damage import damaged
from .insertions import assert_only_digits_added, is_within

_SAMPLES = ("Parts/drunken-sailor.ly", "Teaching/stepping-stones.ly", "Parts/lantern-walk.ly", "Notes/ferry-harp.ily")
BYTES = tuple(sorted((PROJECT / "tests" / "fixtures" / "bytes").glob("*.ly")))
#: The smaller ones more often, so that there is time for many.
SOURCES = (*READING, *BYTES, *(SAMPLES / name for name in _SAMPLES), SAMPLES / "Parts/fog-signals.ly")
LARGEST = 4_000_000
"""Bytes of output that a trial may give; nothing that is damaged here is nearly as long."""


@dataclass(frozen=True)
class Trial:
    """What became of a damaged source; ``fault`` is empty where all was as it should be."""

    kind: str
    source: bytes
    name: str
    status: int
    seconds: float
    fault: str = ""


@dataclass(frozen=True)
class Given:
    """What a trial has: a sound source and a damaged one, the sound one's path, chance, and a folder to write in."""

    sound: bytes
    broken: bytes
    path: Path
    chance: random.Random
    folder: Path

    def run(self, command: str, *arguments: str | Path, stdin: bytes | None = None) -> Result:
        """Run a command on standard input, which has the path's name; the damaged source unless another is given."""
        data = self.broken if stdin is None else stdin
        common = ("--stdin-filename", str(self.path), "-I", self.folder)
        return lyfinger(command, *arguments, *common, stdin=data)

    def write(self, name: str, data: bytes) -> Path:
        """A file in the folder."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        return path


def trial(seed: int, kind: str | None = None) -> Trial:
    """Damage a source by chance and give it to a command: to the one that is named, or to one by chance."""
    chance = random.Random(seed)
    path = chance.choice(SOURCES)
    sound = path.read_bytes()
    broken = damaged(sound, chance)
    kind = kind or chance.choice(list(KINDS))
    with tempfile.TemporaryDirectory() as folder:
        given = Given(sound, broken, path, chance, Path(folder))
        _strange_files(given.folder)
        ended = confined(lambda: KINDS[kind](given))
    status, fault = ended.value or (-1, "")
    return Trial(kind, broken, path.name, status, ended.seconds, ended.fault or fault)


def _strange_files(folder: Path) -> None:
    os.mkfifo(folder / "pipe.ily")
    (folder / "binary.ily").write_bytes(random.Random(1).randbytes(5000).replace(b"\0", b"\1"))
    (folder / "loop.ily").write_bytes(b'c4 \\include "loop.ily"\n')


Outcome = tuple[int, str]


def _judged(result: Result, *statuses: int, warned: bool = False) -> Outcome:
    """Status and fault of a run that may end with one of ``statuses`` or be refused, perhaps after warnings."""
    said = result.err
    for sign in ("internal error", "Traceback", "out of memory", "interrupted"):
        if sign in said:
            return result.status, said[:2000]
    if len(result.out) > LARGEST:
        return result.status, f"{len(result.out)} bytes come out"
    if result.status == 2:
        tidy = not result.out and (said.count("\n") == 1 or (warned and _all_but_the_last_are_warnings(said)))
        return 2, "" if tidy else f"refused, and yet: {said[:2000]}{result.out[:80]!r}"
    return result.status, "" if result.status in statuses else f"exit status {result.status}: {said[:500]}"


def _all_but_the_last_are_warnings(said: str) -> bool:
    return all(": warning: " in line or ": note: " in line for line in said.splitlines()[:-1])


def _mark(given: Given) -> Outcome:
    first = given.run("mark", "-")
    status, fault = _judged(first, 0)
    if fault or status:
        return status, fault
    try:
        assert_only_digits_added(given.broken, first.out)
    except AssertionError as error:
        return 0, str(error)
    second = given.run("mark", "-", stdin=first.out)
    return 0, "" if second.out == first.out else f"a second run changes it: {second.err[:200]}"


_LOOKS = (
    *(("--density", "placings"), ("--density", "needed"), ("--chords", "left"), ("--brackets",), ("--pedals",)),
    *(("--strict",), ("--bars", "2-3"), ("--hand", "small"), ("--jobs", "2"), ("--staves", "*"), ("--voices", "1,3")),
)


def _mark_otherwise(given: Given) -> Outcome:
    options = [word for look in given.chance.sample(_LOOKS, given.chance.randrange(1, 4)) for word in look]
    result = given.run("mark", "-", *options)
    status, fault = _judged(result, 0)
    if not fault and status == 0 and not is_within(given.broken, result.out):
        fault = f"with {options} more is changed than put in"
    return status, fault and f"{options}: {fault}"


def _mark_in_place(given: Given) -> Outcome:
    """The file itself and what it includes, in a copy of the folder."""
    path = given.write(given.path.name, given.broken)
    others = {
        name: given.write(name, (SAMPLES / name).read_bytes()) for name in ("global.ily", "Notes/ferry-frame.ily")
    }
    before = {item: item.read_bytes() for item in (path, *others.values())}
    option = given.chance.choice(("--in-place", "--diff"))
    result = lyfinger("mark", path, option, folder=given.folder)
    status, fault = _judged(result, 0, 1)
    for item, data in before.items():
        now = item.read_bytes()
        if not fault and now != data and (status or option == "--diff" or not is_within(data, now)):
            fault = f"{item.name} is not as it should be"
    left = [item.name for item in given.folder.rglob("*.tmp")]
    return status, fault or (f"left behind: {left}" if left else "")


def _tree(given: Given) -> Outcome:
    """A part beside damaged records of earlier runs, dependencies and all."""
    given.write("parts/part.ly", given.broken)
    out = given.folder / "build"
    records = out / ".lyfinger" / "parts"
    first = lyfinger("mark", "parts/part.ly", "--output-dir", "build", folder=given.folder)
    status, fault = _judged(first, 0, warned=True)
    if fault or status:
        return status, fault
    record = (records / "part.ly.json").read_bytes()
    given.write("build/.lyfinger/parts/other.ly.json", damaged(record.replace(b"part.ly", b"other.ly"), given.chance))
    given.write("build/.lyfinger/parts/part.ly.json", damaged(record, given.chance))
    again = lyfinger("mark", "parts/part.ly", "--output-dir", "build", "--depfile", "build/d", folder=given.folder)
    status, fault = _judged(again, 0, warned=True)
    if not fault and (given.folder / "parts" / "part.ly").read_bytes() != given.broken:
        fault = "the source was touched"
    return status, fault


def _notes(given: Given) -> Outcome:
    as_json = given.chance.random() < 0.5
    result = given.run("notes", "-", "--format", "json" if as_json else "text")
    return _parsed(result, as_json)


def _parsed(result: Result, as_json: bool, *statuses: int, warned: bool = False) -> Outcome:
    status, fault = _judged(result, 0, *statuses, warned=warned)
    if as_json and not fault and status != 2:
        json.loads(result.out)
    return status, fault


def _check(given: Given) -> Outcome:
    style = given.chance.choice(("text", "json", "sarif"))
    more = given.chance.choice(((), ("--fail-on", "warning"), ("--select", "reach,leap")))
    return _parsed(given.run("check", "-", "--format", style, *more), style != "text", 1)


def _explain(given: Given) -> Outcome:
    as_json = given.chance.random() < 0.5
    place = f"{given.chance.randrange(40)}:{given.chance.randrange(30)}"
    where = given.chance.choice((("--bars", "1-3"), ("--at", place)))
    result = given.run("explain", "-", *where, "--format", "json" if as_json else "text")
    return _parsed(result, as_json, warned=True)


def _clear(given: Given) -> Outcome:
    marked = given.run("mark", "-")
    if marked.status == 0 and given.chance.random() < 0.7:
        source = marked.out
    else:
        source = given.broken
    first = given.run("clear", "-", stdin=source)
    status, fault = _judged(first, 0)
    if fault or status:
        return status, fault
    if not is_within(first.out, source):
        return 0, "clear puts something in"
    again = given.run("clear", "-", stdin=first.out)
    return 0, "" if again.out == first.out else f"a second clear changes it: {again.err[:200]}"


def _diff(given: Given) -> Outcome:
    as_json = given.chance.random() < 0.5
    old = given.write("old.ly", given.sound)
    result = given.run("diff", old, "-", "--format", "json" if as_json else "text")
    return _parsed(result, as_json, 1, warned=True)


def _pedals(given: Given) -> Outcome:
    return _judged(given.run("pedals", "-", *given.chance.choice(((), (), ("--respell",)))), 0, 1)


def _pedals_json(given: Given) -> Outcome:
    return _parsed(given.run("pedals", "-", "--format", "json"), True)


def _keep(given: Given) -> Outcome:
    old = given.write("old.ly", given.broken)
    return _judged(given.run("mark", "-", "--keep", old, stdin=given.sound), 0)


def _locks(given: Given) -> Outcome:
    notes = lyfinger("notes", "-", "--format", "json", "--stdin-filename", given.path, stdin=given.sound)
    listed = json.loads(notes.out)["notes"] if notes.status == 0 else []
    some = given.chance.sample(listed, min(len(listed), 3))
    digits = [{"line": item["line"], "column": item["column"], "finger": given.chance.randrange(1, 5)} for item in some]
    sha256 = hashlib.sha256(given.sound).hexdigest()
    locks = {"lyfinger-locks": 1, "files": [{"name": given.path.name, "sha256": sha256, "digits": digits}]}
    path = given.write("locks.json", damaged(json.dumps(locks, indent=1).encode(), given.chance))
    return _judged(given.run("mark", "-", "--locks", path, stdin=given.sound), 0)


def _config(given: Given) -> Outcome:
    whole = (PROJECT / "README.md").read_bytes().partition(b"All keys:")[2].split(b"```toml\n")[1].partition(b"```")[0]
    path = given.write("lyfinger.toml", damaged(whole, given.chance))
    command = given.chance.choice(("mark", "check", "pedals", "notes"))
    return _judged(given.run(command, "-", "--config", path, stdin=given.sound), 0, 1)


_DRESSES = (
    ("page.tex", b"\\documentclass{article}\n\\begin{lilypond}[fragment,relative=1]\n", b"\n\\end{lilypond}\nText.\n"),
    ("page.lytex", b"% a\n\\begin[quote,staffsize=20]{lilypond}\n", b"\n\\end{lilypond}\n\\lilypond{ c'4 d' }\n"),
    ("page.html", b"<html><lilypond>\n", b"\n</lilypond>\n<lilypond relative=1: c e g />\n</html>\n"),
    ("page.htmly", b"<!-- a --><lilypond fragment>\n", b"\n</lilypond>\n"),
)


def _document(given: Given) -> Outcome:
    name, opening, closing = given.chance.choice(_DRESSES)
    data = opening + given.broken + closing
    if given.chance.random() < 0.5:
        data = damaged(data, given.chance)
    command = given.chance.choice(("mark", "mark", "check", "notes", "clear"))
    beside = given.path.parent / name
    common = ("--stdin-filename", str(beside), "-I", given.folder)
    result = lyfinger(command, "-", *common, stdin=data)
    status, fault = _judged(result, 0, 1)
    if not fault and command == "mark" and status == 0 and not is_within(data, result.out):
        fault = "more is changed than put in"
    return status, fault


KINDS: dict[str, Callable[[Given], Outcome]] = {
    "mark": _mark,
    "mark-otherwise": _mark_otherwise,
    "in-place": _mark_in_place,
    "tree": _tree,
    "notes": _notes,
    "check": _check,
    "explain": _explain,
    "clear": _clear,
    "diff": _diff,
    "pedals": _pedals,
    "pedals-json": _pedals_json,
    "keep": _keep,
    "locks": _locks,
    "config": _config,
    "document": _document,
}


def _chosen(arguments: list[str]) -> Iterator[tuple[int, str | None]]:
    count, first = int(arguments[0]), int(arguments[1]) if len(arguments) > 1 else 1000
    kinds = arguments[2:]
    for seed in range(first, first + count):
        yield seed, kinds[seed % len(kinds)] if kinds else None


def main(arguments: list[str]) -> int:
    """Run trials and tell the faults and the slowest one."""
    trials: dict[int, Trial] = {}
    for seed, kind in _chosen(arguments):
        item = trials[seed] = trial(seed, kind)
        if item.fault:
            print(f"seed {seed} {item.kind} ({item.name}): {item.fault}", flush=True)
    faults = sum(bool(item.fault) for item in trials.values())
    done = sum(item.status in (0, 1) for item in trials.values())
    print(f"{len(trials)} trials, {done} not refused, {faults} faults")
    slowest = max(trials, key=lambda seed: trials[seed].seconds)
    item = trials[slowest]
    print(f"slowest: seed {slowest} {item.kind} ({item.name}), {item.seconds:.2f} s")
    return int(faults > 0)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
