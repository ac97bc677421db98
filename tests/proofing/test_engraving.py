"""What the typesetter is asked for and gives: pages of every kind of file, and one clear line where it gives none."""

from __future__ import annotations

import json
import os
import stat
import time
from pathlib import Path

import pytest

from lyfinger.cli.progress import Progress
from lyfinger.proofing.links import linked_pages
from lyfinger.proofing.typesetter import Route, Typesetter
from lyfinger.source.edits import Edits, Insertion
from lyfinger.source.text import SourceFile
from tests.referee.engraver import executable
from tests.whole.command import Result, lyfinger

from .pages import SCORE, Taken, page_of, taken_apart

BOOK = """\
\\book {
  \\bookpart { \\new Staff = "RH" { c'4 e' g' c'' } }
  \\bookpart { \\new Staff = "RH" { d'4 f' a' d'' } }
}
"""
HARP = """\
\\new PianoStaff \\with {{ instrumentName = "Harp {}" }} <<
  \\new Staff {{ c'4 e' g' c'' }} \\new Staff {{ \\clef bass c1 }}
>>
"""
WITHOUT_CAIRO = """\
#!/bin/sh
case "$*" in *cairo*) echo "fatal error: compiled without CAIRO_BACKEND" >&2; exit 1;; esac
exec '{}' "$@"
"""


def _proof(folder: Path, text: str, *options: str | Path, name: str = "part.ly") -> Result:
    (folder / name).write_text(text, encoding="utf-8")
    return lyfinger("proof", name, *options, folder=folder)


def _digits(taken: Taken) -> list[int]:
    return sorted(int(one["data-digit"] or "") for one in taken.named("digit") if "data-digit" in one)


def _program(folder: Path, text: str) -> Path:
    path = folder / "engraver"
    path.write_text(text)
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


def test_books_whose_pages_would_share_a_name(tmp_path: Path) -> None:
    """By itself the typesetter calls the second page of the first book as it calls the second book (measured)."""
    taken = taken_apart(page_of(tmp_path, BOOK + "\\book { \\new Staff = \"RH\" { e'4 g' b' e'' } }\n"))
    labels = [one["aria-label"] for _, one in taken.elements if (one.get("aria-label") or "").startswith("page ")]
    assert labels == ["page 1 of 3", "page 2 of 3", "page 3 of 3"]
    assert _digits(taken) == list(range(12))


def test_a_document_with_music_has_every_snippet(tmp_path: Path) -> None:
    text = "<p>ü</p>\n<lilypond fragment relative=1: c4 e g c/>\n<lilypond>\\new Staff = LH { g4 e c b, }</lilypond>\n"
    taken = taken_apart(page_of(tmp_path, text, name="page.html"))
    assert _digits(taken) == list(range(8))
    assert {digit["line"] for digit in taken.data["digits"]} == {2, 3}
    assert [file["name"] for file in taken.data["files"]] == ["page.html"]


def test_the_locks_of_a_document_lead_to_its_snippets(tmp_path: Path) -> None:
    """Two snippets with the same text are told apart by where they stand."""
    text = "<lilypond fragment relative=1: c4 e g c/>\n<lilypond fragment relative=1: c4 e g c/>\n"
    data = taken_apart(page_of(tmp_path, text, name="page.html")).data
    digit = next(one for one in data["digits"] if one["line"] == 2)
    chosen = f'{{"line": 2, "column": {digit["column"]}, "finger": 3}}'
    file = f'{{"name": "page.html", "sha256": "{data["files"][0]["sha256"]}", "digits": [{chosen}]}}'
    (tmp_path / "locks.json").write_text(f'{{"lyfinger-locks": 1, "files": [{file}]}}')
    done = lyfinger("mark", "page.html", "--locks", "locks.json", folder=tmp_path)
    first, second = done.out.decode().splitlines()
    assert ": c4^4 " in first
    assert ": c4^3 " in second


def test_bare_variables_are_printed_as_a_score(tmp_path: Path) -> None:
    text = "left = { \\clef bass c4 g, e, c, }\nright = { c'4 e' g' c'' }\n"
    taken = taken_apart(page_of(tmp_path, text))
    assert _digits(taken) == list(range(8))
    heights: dict[int, list[float]] = {1: [], 2: []}
    for at, (_, one) in enumerate(taken.elements):
        if "data-digit" in one:
            line = taken.data["digits"][int(one["data-digit"] or "")]["line"]
            heights[line].append(float(taken.elements[at + 1][1]["y"] or ""))
    assert max(heights[2]) < min(heights[1]), "the right hand is above the left"


def test_a_pickup_is_in_the_bar_that_is_printed(tmp_path: Path) -> None:
    text = "\\new Staff = \"RH\" { \\partial 4 c'4 | e' g' c'' e'' | <c' c''>1 }\n"
    bars = [figure["bar"] for figure in taken_apart(page_of(tmp_path, text)).data["figures"]]
    notes = json.loads(lyfinger("notes", "part.ly", "--format", "json", folder=tmp_path).out)["notes"]
    assert (bars[0], bars[-1]) == (notes[0]["bar"], notes[-1]["bar"])


def test_each_harpist_has_a_strip(tmp_path: Path) -> None:
    taken = taken_apart(page_of(tmp_path, f"\\score {{ << {HARP.format('I')} {HARP.format('II')} >> }}\n"))
    labels = [one["aria-label"] for one in taken.named("strip")]
    assert labels == ["Reach used, bars 1 to 1, Harp I", "Reach used, bars 1 to 1, Harp II"]


def test_nothing_for_a_harp_is_a_page_without_digits(tmp_path: Path) -> None:
    done = _proof(tmp_path, "\\new Staff \\with { instrumentName = \"Flute\" } { c'4 e' g' c'' }\n")
    assert done.status == 0
    assert "is not marked" in done.err
    assert _digits(taken_apart(done.out)) == []


def test_an_engraver_without_cairo_gives_the_same_places(tmp_path: Path) -> None:
    """As Debian 12 has it, 2.24.1; pictures are then dots."""
    program = _program(tmp_path, WITHOUT_CAIRO.format(executable()))
    done = _proof(tmp_path, SCORE, "--lilypond", program)
    assert done.status == 0, done.err
    other, usual = taken_apart(done.out), taken_apart(page_of(tmp_path, SCORE))
    pictures = [one["href"] or "" for name, one in other.elements if name == "image"]
    assert [picture[:22] for picture in pictures] == ["data:image/png;base64,"]
    assert _digits(other) == _digits(usual) == list(range(17))

    def boxes(taken: Taken) -> list[float]:
        after = (box for at, (_, box) in enumerate(taken.elements) if "data-digit" in taken.elements[at - 1][1])
        return [float(box[side] or "") for box in after for side in ("x", "y")]

    assert boxes(other) == pytest.approx(boxes(usual), abs=2.5)


def test_a_score_without_an_end_is_ended_with_all_that_it_started(tmp_path: Path) -> None:
    child = tmp_path / "child"
    program = _program(tmp_path, f"#!/bin/sh\nsleep 600 &\necho $! >'{child}'\nwait\n")
    begun = time.monotonic()
    done = _proof(tmp_path, SCORE, "--lilypond", program, "--timeout", "1.5", "-o", "proof.html")
    assert (done.status, done.out) == (2, b"")
    assert done.err == "part.ly:1:1: error: proof: LilyPond was ended after 1.5 seconds; --timeout gives it longer\n"
    assert not (tmp_path / "proof.html").exists()
    assert time.monotonic() - begun < 60
    for _ in range(100):
        if not _at_work(int(child.read_text())):
            break
        time.sleep(0.05)
    assert not _at_work(int(child.read_text()))


def _at_work(process: int) -> bool:
    """Whether a process is there, and no mere entry that nobody has fetched yet."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@pytest.mark.parametrize("text", ["-1", "soon", "inf", "nan"])
def test_a_time_limit_is_a_number_of_seconds(text: str, tmp_path: Path) -> None:
    done = _proof(tmp_path, SCORE, f"--timeout={text}")
    assert done.status == 2
    assert "is no number of seconds" in done.err


def test_what_the_typesetter_refuses_is_said_with_its_place_in_the_source(tmp_path: Path) -> None:
    """Digits in front of it have moved it in what was engraved; a tab counts to the next multiple of eight."""
    text = "\\version \"2.24.0\"\n\\new Staff = \"RH\" {\n\tc'4 e' g' c'' \\nonsense }\n"
    done = _proof(tmp_path, text)
    assert "part.ly:3:23: warning: LilyPond reports an error, and the page may lack something: unknown " in done.err


def test_a_typesetter_that_prints_nothing_is_refused_with_the_place(tmp_path: Path) -> None:
    done = _proof(tmp_path, "\\new Staff = \"RH\" { c'4 e' g' c'' }\n#(exit 3)\n", "-o", "proof.html")
    said = done.err.splitlines()[-1]
    assert said.startswith("part.ly:2:"), done.err
    assert "\n" not in said


def test_a_name_of_any_kind_is_no_place_to_break_out(tmp_path: Path) -> None:
    """Names as the shell, the typesetter, and HTML would each take for something else."""
    for name in ("a b 'c' \"d\".ly", "ü#1 & <b>.ly", "%41.ly", "-x.ly"):
        (tmp_path / name).write_text(SCORE)
        done = lyfinger("proof", f"./{name}" if name.startswith("-") else name, folder=tmp_path)
        assert done.status == 0, done.err
        assert len(_digits(taken_apart(done.out))) == 17


def test_pages_of_a_pdf_are_read_with_their_links(tmp_path: Path) -> None:
    source = tmp_path / "part.ly"
    source.write_text('\\version "2.24.0"\n{ c\'4-1 }\n')
    (tmp_path / "out").mkdir()
    run = Typesetter(str(executable()), Route.CAIRO, source, tmp_path / "out" / "page", [])
    assert run.wait(60, lambda _: None)
    (page,) = linked_pages(tmp_path / "out" / "page-10001.pdf", 4)
    assert {(box.page, os.path.realpath(box.path), box.line) for box in page.boxes} == {(4, str(source.resolve()), 2)}
    assert {box.char for box in page.boxes} == {2, 5}
    assert (page.width, page.height) == pytest.approx((595.3, 841.9), abs=1)


def test_places_come_back_from_the_marked_text() -> None:
    file = SourceFile("part.ly", b"abcdef")
    edits = Edits.of(file, [Insertion(0, "xy"), Insertion(3, "^1"), Insertion(6, "z")])
    out = edits.apply().decode()
    assert out == "xyabc^1defz"
    back, moved = edits.returner(), edits.mover()
    assert [back(moved(offset)) for offset in range(6)] == list(range(6))
    assert [back(at) for at, char in enumerate(out) if char in "xy^1z"] == [0, 0, 3, 3, 6]


def test_the_bar_says_only_what_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a terminal alone; engraving tells how long it has taken, as nobody knows how far it has come."""

    class Terminal:
        def __init__(self, *, watched: bool) -> None:
            self.watched, self.text = watched, ""

        def isatty(self) -> bool:
            return self.watched

        def write(self, text: str) -> None:
            self.text += text

        def flush(self) -> None:
            pass

    for watched in (True, False):
        terminal = Terminal(watched=watched)
        monkeypatch.setattr("sys.stderr", terminal)
        with Progress() as progress:
            progress.busy("reading")
            progress.show("weighing", 1, 2)
            progress.busy("engraving", 12.4)
        if not watched:
            assert terminal.text == ""
            continue
        lines = [line for line in terminal.text.split("\r") if line.strip()]
        assert lines == ["reading", f"weighing [{'#' * 15}{'.' * 15}] 50%", "engraving, 12 s"]
