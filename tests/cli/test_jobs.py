"""``mark --jobs``: whatever the number of processes, the same bytes and messages, and none of them stays."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from lyfinger.cli import apart
from lyfinger.cli.crew import Crew, Strokes, Unlike, opened, sealed
from lyfinger.cli.desk import Asked, Told
from lyfinger.cli.dividing import divided, groups, shares
from lyfinger.source.messages import Refused
from lyfinger.source.text import SourceFile
from tests.whole.command import Result, lyfinger, standing_in

from .conftest import PROJECT
from .test_documents import METHOD

HOUSE_STYLE = b"""\
\\paper { indent = 0 }
%% shared by all, and something in it is not known
\\odd { c' }
rest = { R1 }
"""
TEMPLATE = b"""\
\\score { \\new PianoStaff <<
  \\new Staff = "upper" \\right \\new Staff = "lower" { \\clef bass \\left } >> \\layout { } }
"""
PIECE = b"""\
right%d = { c'8 e' g' c'' <c' a''>4 e''-1 | d'8 f' a' d'' f'' a' d''4( | e''8) d'' c'' b' a' g' f' e' | }
left%d = { c4 \\change Staff = "upper" g' \\change Staff = "lower" <c e g c'>2\\arpeggio | d4 a d' f' | c1 | }
"""
PART = b"""\
\\version "2.24.0"
\\include "../style.ily"
\\include "../notes/piece%d.ily"
\\score { \\new PianoStaff <<
  \\new Staff = "upper" \\right%s \\new Staff = "lower" { \\clef bass \\left%s } >> \\layout { } }
"""
FULL = b"""\
\\version "2.24.0"
\\include "../style.ily"
\\include "../notes/piece%d.ily"
\\score { << \\new Staff \\with { instrumentName = "Flute" } \\right%s
  \\new PianoStaff << \\new Staff = "RH" \\right%s \\new Staff = "LH" { \\clef bass \\left%s } >> >> \\layout { } }
"""
OF_TEMPLATE = b"""\
\\version "2.24.0"
\\include "../style.ily"
right = { c'4 e' g' %s <e' g' c''>1 }
left = { c4 e g c' <c e g>1 }
\\include "../template.ily"
"""
LETTERS = (b"A", b"B", b"C", b"D")
TURNS = (b"c''", b"e''", b"\\gone", b"b'")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A repository of many kinds: parts and scores with the same notes, pieces of one template, files alone, a
    document, a folder with other settings, and files that can't be read."""
    for name in ("parts", "scores", "notes", "pieces", "other"):
        (tmp_path / name).mkdir()
    (tmp_path / "style.ily").write_bytes(HOUSE_STYLE)
    (tmp_path / "template.ily").write_bytes(TEMPLATE)
    (tmp_path / "harp.eps").write_bytes(b"%!PS-Adobe-3.0 EPSF-3.0\n")
    (tmp_path / "lyfinger.toml").write_bytes(
        b'[hands]\nuper = "right"\nupper = "right"\nlowr = "left"\nlower = "left"\n'
    )
    (tmp_path / "other" / "lyfinger.toml").write_bytes(b'hand = "small"\n')
    for number, letter in enumerate(LETTERS):
        (tmp_path / "notes" / f"piece{number}.ily").write_bytes((PIECE % (0, 0)).replace(b"0 =", letter + b" ="))
        (tmp_path / "parts" / f"p{number}.ly").write_bytes(PART % (number, letter, letter))
        (tmp_path / "scores" / f"s{number}.ly").write_bytes(FULL % (number, letter, letter, letter))
        (tmp_path / "pieces" / f"t{number}.ly").write_bytes(OF_TEMPLATE % TURNS[number])
        (tmp_path / "other" / f"o{number}.ly").write_bytes(
            b"\\new Staff = \"RH\" { <c' %s>4 d' e'-1 f' }\n" % TURNS[number]
        )
    (tmp_path / "other" / "twice.ly").write_bytes(PART % (0, b"A", b"A"))
    (tmp_path / "broken.ly").write_bytes(b"\\version \"2.24.0\"\n{ c'4 d' \n")
    (tmp_path / "lost.ly").write_bytes(b'\\include "style.ily"\n\\include "nowhere.ily"\n')
    (tmp_path / "method.lytex").write_bytes(METHOD)
    (tmp_path / "single.ly").write_bytes(
        b"\\markup \\epsfile #X #10 #\"harp.eps\"\n\\new Staff = \"RH\" { c'4 d' e' f'-1 }\n"
    )
    return tmp_path


NAMES = [
    *(f"{place}{number}.ly" for number in range(4) for place in ("parts/p", "scores/s", "pieces/t")),
    "./parts/p0.ly",
    "single.ly",
    "method.lytex",
]
"""Parts first and their scores apart, so that what hangs together is not read by one process as it happens."""
MORE = [*NAMES[:6], "broken.ly", "gone.ly", *NAMES[6:], "other/o0.ly", "lost.ly", "other/o1.ly", "other/o3.ly"]
TREE = ["--output-dir", "out", "--root", ".", "--depfile", "out.d", "--stamp", "out.stamp", "--engraved", ".pdf"]
OPTIONS = {
    "diff": ["--diff"],
    "in place": ["--in-place", "--depfile", "out.d", "--stamp", "out.stamp"],
    "tree": TREE,
    "page": [*TREE, "--brackets", "--chords", "left", "--outside", "--slides", "--crossings", "--hand-signs"],
    "density": ["--diff", "--density", "needed", "--chords", "behind"],
    "strict": ["--diff", "--strict"],
    "bars": ["--diff", "--bars", "2-3"],
    "staves": ["--diff", "--staves", "upper,RH"],
    "voices": ["--diff", "--voices", "1"],
    "no such staff": ["--diff", "--staves", "uper"],
    "no such voice": ["--diff", "--voices", "alto"],
    "no such bar": ["--diff", "--bars", "70-80"],
    "keep": ["--diff", "--keep", "old.ly"],
    "locks": ["--diff", "--locks", "locks.json"],
    "pedals": ["--diff", "--pedals"],
    "no such setting": ["--diff", "--config", "setting.toml"],
    "no such weight": ["--diff", "--config", "weight.toml"],
    "no such rule": ["--diff", "--config", "ignore.toml"],
}
ONE_PROCESS = {"keep", "locks", "pedals", "no such setting"}


def _tree(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def _run(folder: Path, *arguments: str) -> tuple[Result, dict[str, bytes]]:
    """What a run does, and the tree as it stands after it; everything is put back."""
    kept = folder.with_name("kept")
    shutil.copytree(folder, kept, symlinks=True)
    try:
        return lyfinger("mark", *arguments, folder=folder), _tree(folder)
    finally:
        shutil.rmtree(folder)
        kept.rename(folder)


@pytest.fixture
def gathered(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Whether the parts fitted together, for each run that was divided."""
    found: list[bool] = []
    divide = apart._parts

    def parts(*given: object) -> object:
        found.append(False)
        result = divide(*given)  # type: ignore[arg-type]
        found[-1] = True
        return result

    monkeypatch.setattr(apart, "_parts", parts)
    return found


@pytest.mark.parametrize("names", [NAMES, MORE], ids=["all well", "some refused"])
@pytest.mark.parametrize("kind", OPTIONS)
def test_any_number_of_processes_gives_the_same(
    folder: Path, kind: str, names: list[str], gathered: list[bool]
) -> None:
    (folder / "old.ly").write_bytes(b"\\new Staff = \"RH\" { c'4-3 d'-2 e'-1 f'-1 }\n")
    (folder / "locks.json").write_bytes(b'{"lyfinger-locks": 1, "files": []}')
    (folder / "setting.toml").write_bytes(b'hand = "huge"\n')
    (folder / "weight.toml").write_bytes(b"[rules]\nno-such = 1\n")
    (folder / "ignore.toml").write_bytes(b'[check]\nignore = ["no-such"]\n')
    one = _run(folder, *names, *OPTIONS[kind], "--jobs", "1")
    assert gathered == []
    for jobs in ("2", "3", "8"):
        assert _run(folder, *names, *OPTIONS[kind], "--jobs", jobs) == one
    assert gathered == ([] if kind in ONE_PROCESS else [True] * 3)


def test_what_is_compared_is_worth_comparing(folder: Path) -> None:
    """The runs above warn, refuse, decide notes together, and write every kind of file."""
    result, tree = _run(folder, *MORE, *TREE)
    assert result.status == 2
    said = result.err.splitlines()
    assert any("unknown-hand-name" in line for line in said)
    assert any("passage-not-followed" in line for line in said)
    assert sum(" error: " in line or "can't read" in line for line in said) == 3
    result, tree = _run(folder, *NAMES, *TREE)
    assert result.status == 0
    assert {"out.d", "out.stamp", "out/harp.eps", "out/parts/p3.d", "out/method.lytex"} <= tree.keys()
    assert b"^" in tree["out/notes/piece2.ily"]
    assert {"out/.lyfinger/scores/s1.ly.json", "out/.lyfinger/pieces/t2.ly.json"} <= tree.keys()


@pytest.mark.parametrize(
    "names",
    [["parts/p0.ly", "other/twice.ly"], ["parts/p0.ly", "pieces/t0.ly", "other/twice.ly", "scores/s1.ly"]],
    ids=len,
)
def test_what_two_configurations_would_change_in_two_ways(folder: Path, names: list[str]) -> None:
    one = _run(folder, *names, *TREE, "--jobs", "1")
    assert "would get other digits" in one[0].err
    assert _run(folder, *names, *TREE, "--jobs", "2") == one


def test_a_score_of_all_parts_is_decided_by_one_process(folder: Path, gathered: list[bool]) -> None:
    includes = b"".join(b'\\include "notes/piece%d.ily"\n' % number for number in range(4))
    scores = b"".join(b'\\score { \\new Staff = "RH" \\right%s }\n' % letter for letter in LETTERS)
    (folder / "all.ly").write_bytes(includes + scores)
    names = [*(f"parts/p{number}.ly" for number in range(4)), "all.ly"]
    one = _run(folder, *names, *TREE, "--jobs", "1")
    for jobs in ("2", "4"):
        assert _run(folder, *names, *TREE, "--jobs", jobs) == one
    assert gathered == [True] * 2


def test_where_the_parts_dont_fit_one_process_does_all(folder: Path, gathered: list[bool]) -> None:
    """A file of the house that two processes know by two names: one process would know it by the first alone."""
    (folder / "links").mkdir()
    (folder / "links" / "style.ily").symlink_to("../style.ily")
    piece = (folder / "pieces" / "t0.ly").read_bytes().replace(b"../style.ily", b"style.ily")
    (folder / "links" / "t9.ly").write_bytes(piece)
    names = ["pieces/t1.ly", "links/t9.ly"]
    one = _run(folder, *names, *TREE, "--jobs", "1")
    assert _run(folder, *names, *TREE, "--jobs", "2") == one
    assert gathered == [False]


def test_a_pipe_is_read_once(folder: Path, gathered: list[bool]) -> None:
    os.mkfifo(folder / "pipe.ly")
    pid = os.fork()
    if not pid:
        (folder / "pipe.ly").write_bytes((folder / "single.ly").read_bytes())
        os._exit(0)
    result = lyfinger("mark", "parts/p0.ly", "pipe.ly", "--diff", "--jobs", "2", folder=folder)
    os.waitpid(pid, 0)
    assert (result.status, gathered) == (1, [])
    assert b"+++ pipe.ly" in result.out


_WATCHED = """
import os, sys, time
from pathlib import Path
from lyfinger.cli import desk
from lyfinger.cli.main import main
first, stop, how = os.getpid(), sys.argv[1], sys.argv[2]
def watched(name):
    real = getattr(desk, name)
    def call(*given, **more):
        if os.getpid() != first:
            Path(f"{os.getpid()}.child").touch()
        if stop == name and how == "die" and os.getpid() != first:
            os._exit(1)
        if stop == name and how == "sleep":
            time.sleep(600 if os.getpid() != first else 0)
        return real(*given, **more)
    setattr(desk, name, call)
watched("open_root"); watched("planned")
sys.exit(main(sys.argv[3:]))
"""


def _children(folder: Path) -> list[int]:
    return [int(path.stem) for path in folder.glob("*.child")]


def _is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def _within(seconds: float, true: Callable[[], bool]) -> bool:
    end = time.monotonic() + seconds
    while not true() and time.monotonic() < end:
        time.sleep(0.05)
    return true()


def _begun(folder: Path, stop: str, how: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-c", _WATCHED, stop, how, "mark", *NAMES, *TREE, "--jobs", "3"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(PROJECT)},
        stdin=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )


@pytest.mark.parametrize("stop", ["open_root", "planned"])
def test_a_process_that_dies_is_one_clear_refusal(folder: Path, stop: str) -> None:
    before = set(_tree(folder))
    run = _begun(folder, stop, "die")
    _, errors = run.communicate(timeout=60)
    assert run.returncode == 2
    assert errors == b"lyfinger: a process of --jobs came to an untimely end; nothing is written\n"
    assert {name for name in _tree(folder) if not name.endswith(".child")} == before


@pytest.mark.parametrize("stop", ["open_root", "planned"])
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGKILL])
def test_told_to_end_no_process_stays(folder: Path, stop: str, number: signal.Signals) -> None:
    before = set(_tree(folder))
    run = _begun(folder, stop, "sleep")
    assert _within(60, lambda: len(_children(folder)) == 2)
    time.sleep(0.3)
    if number is signal.SIGKILL:
        for child in _children(folder):
            os.kill(child, number)
    else:
        run.send_signal(number)
    _, errors = run.communicate(timeout=60)
    told = b"lyfinger: interrupted\n"
    untimely = b"lyfinger: a process of --jobs came to an untimely end; nothing is written\n"
    assert (run.returncode, errors) == (2, untimely if number is signal.SIGKILL else told)
    assert not any(map(_is_there, _children(folder)))
    assert {name for name in _tree(folder) if not name.endswith(".child")} == before


def test_copies_end_when_the_first_process_is_no_more(folder: Path) -> None:
    """Killed outright it can't end them: they hear that nobody listens."""
    script = _WATCHED.replace(
        "time.sleep(600 if os.getpid() != first else 0)", "time.sleep(0 if os.getpid() != first else 600)"
    )
    run = subprocess.Popen(
        [sys.executable, "-c", script, "open_root", "sleep", "mark", *NAMES, *TREE, "--jobs", "3"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(PROJECT)},
    )
    assert _within(60, lambda: len(_children(folder)) == 2)
    run.kill()
    run.wait()
    assert _within(60, lambda: not any(map(_is_there, _children(folder))))


def _asked(*names: str | Path) -> tuple[Asked, ...]:
    return tuple(Asked(0, str(name)) for name in names)


def test_files_are_shared_out_with_those_that_include_the_same(folder: Path) -> None:
    names = [folder / f"{place}{number}.ly" for place in ("parts/p", "scores/s") for number in range(4)]
    found = shares(_asked(*names), 2)
    assert sorted(index for share in found for index in share) == list(range(8))
    assert {len(share) for share in found} == {4}
    assert all((index + 4) % 8 in share for share in found for index in share), "a part and its score"


def test_one_file_by_two_names_is_in_one_share(folder: Path) -> None:
    (folder / "linked.ly").symlink_to("single.ly")
    with standing_in(folder):
        found = shares(_asked("single.ly", "parts/p0.ly", "./single.ly", "linked.ly", "gone.ly"), 4)
    assert [0, 2, 3] in found


def _told(own: str, *read: str, refused: bool = False) -> Told:
    names = frozenset(read)
    return Told((), names if not refused else frozenset(), frozenset(own), True, Refused("no") if refused else None)


def test_what_hangs_together() -> None:
    """By letters: each file is one; ``own`` are those with notes of the FILE."""
    asked = _asked(*"abcdef")
    told = {
        0: _told("a", "a", "s"),
        1: _told("bn", "b", "s", "n"),
        2: _told("c", "c", "s"),
        3: _told("dn", "d", "n"),
        4: _told("e", "e", "c"),
        5: _told("f", refused=True),
    }
    assert sorted(map(sorted, groups(asked, told))) == [[0], [1, 3], [2, 4]]
    other = [asked[0], asked[1], asked[2], Asked(1, "d"), *asked[4:]]
    assert sorted(map(sorted, groups(other, told))) == [[0], [1], [2, 4], [3]], "settings of its own"


def test_who_marks_what() -> None:
    """Each what it has read, as long as that is about as much as others have."""

    def size(_: int) -> int:
        return 10

    assert divided([[0], [1], [2], [3]], [[0, 1], [2, 3]], size, 2) == ([[0, 1], [2, 3]], True)
    assert divided([[0], [1], [2], [3]], [[0, 1, 2], [3]], size, 2) == ([[1, 2], [0, 3]], True)
    assert divided([[0, 1, 2], [3], [4]], [[2, 3, 4], [0, 1]], size, 2) == ([[3, 4], [0, 1, 2]], True), "most read"
    assert divided([[0, 1, 2, 3]], [[3], [0, 1, 2]], size, 2) == ([[0, 1, 2, 3], []], False), "too much for one"


def test_what_both_processes_have_is_sent_by_name() -> None:
    here, there = SourceFile("a.ly", b"{ c' }"), SourceFile("a.ly", b"{ c' }")
    assert here.text
    other = SourceFile("b.ly", b"{ d' }\xff")
    data = sealed([here, other, here], [(("file", "a"), here)])
    first, second, third = opened(data, {("file", "a"): there})
    assert first is third is there
    assert (second.name, second.data, second.text) == (other.name, other.data, other.text)
    with pytest.raises(Unlike):
        opened(data, {})


def test_a_crew_does_its_work_in_two_strokes() -> None:
    with Crew(Strokes(sum, lambda word: f"{os.getpid()} {word}".encode()), [[1, 2], [3, 4]]) as crew:
        assert crew.told() == [3, 7]
        crew.tell(["a", "b"])
        done = [one.split() for one in crew.done()]
    assert [word for _, word in done] == [b"a", b"b"]
    assert len({os.getpid(), *(int(number) for number, _ in done)}) == 3


def test_what_stops_a_copy_stops_the_first_process() -> None:
    def refuse(_: object) -> bytes:
        raise Refused("this can't be")

    with pytest.raises(Refused, match="this can't be"), Crew(Strokes(refuse, refuse), ["a"]) as crew:
        crew.told()


def test_one_process_loads_nothing_for_several(folder: Path) -> None:
    script = (
        "import sys\n"
        "from lyfinger.cli.main import main\n"
        "main(['mark', *sys.argv[1:], '--diff'])\n"
        "several = {f'lyfinger.cli.{name}' for name in ('apart', 'crew', 'desk', 'dividing')} | {'multiprocessing'}\n"
        "assert 'lyfinger.cli.mark' in sys.modules\n"
        "sys.exit(', '.join(several & set(sys.modules)) or 0)\n"
    )
    subprocess.run(
        [sys.executable, "-c", script, *NAMES[:3]],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(PROJECT)},
        check=True,
        capture_output=True,
    )
