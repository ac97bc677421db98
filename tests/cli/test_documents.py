"""LaTeX and HTML sources for lilypond-book: marked inside their snippets, everything else as it was."""

from __future__ import annotations

import json
import random
import re
from pathlib import Path

import pytest

from lyfinger.reading.roots import read_root
from lyfinger.source.books import Snippet, alone
from lyfinger.source.library import Library
from lyfinger.source.text import SourceFile
from tests.whole.command import lyfinger
from tests.whole.damage import damaged
from tests.whole.insertions import assert_only_digits_added

from .conftest import NOTES, NOTES_MARKED, Result, Run, snapshot

METHOD = rb"""\documentclass{article}
\begin{document}
A scale \lilypond[fragment,relative=1]{ c4 d e f } of four, <c' e'>.
% \lilypond{ c4 }
\begin{lilypond}[relative=2]
  c8 e g c
\end{lilypond}
\verb|\lilypond{ c4 }|
\begin{lilypond}
\new PianoStaff <<
	\new Staff { c'4 e' g' }
  \new Staff { \clef bass <c e g c'>2 }
>>
\end{lilypond}
\lilypondfile{single.ly}
\end{document}
"""
METHOD_MARKED = (
    METHOD.replace(b"{ c4 d e f }", b"{ c4^4 d^3 e^2 f^1 }")
    .replace(b"c8 e g c", b"c8^4 e^3 g^2 c^1")
    .replace(b"c'4 e' g'", b"c'4^3 e'^2 g'^1")
    .replace(b"<c e g c'>2", b"<c_4 e_3 g_2 c'_1>2")
)
PAGE = b"""<p>See <lilypond fragment relative=1: c4 d e f/> and\r
<lilypond>\r
 \\new Staff = "LH" { c4 e g c' }\r
</lilypond>, not <!-- <lilypond> { c } </lilypond> --> this. \xff\r
"""
PAGE_MARKED = PAGE.replace(b"c4 d e f/>", b"c4^4 d^3 e^2 f^1/>").replace(b"c4 e g c'", b"c4_4 e_3 g_2 c'_1")


@pytest.fixture
def library(repository: Path) -> Path:
    """The score repository with two documents in it."""
    (repository / "method.lytex").write_bytes(METHOD)
    (repository / "page.html").write_bytes(PAGE)
    return repository


@pytest.mark.parametrize(("name", "after"), [("method.lytex", METHOD_MARKED), ("page.html", PAGE_MARKED)])
def test_digits_go_into_the_snippets_and_nowhere_else(run: Run, library: Path, name: str, after: bytes) -> None:
    assert run("mark", name) == Result(0, after, b"")
    assert run("mark", "-", "--stdin-filename", name, stdin=after) == Result(0, after, b"")
    assert run("mark", name, "-o", "out") == Result(0, b"", b"")
    assert (library / "out").read_bytes() == after


def test_documents_and_scores_in_one_tree(run: Run, library: Path) -> None:
    (library / "method.lytex").write_bytes(METHOD + b'\\lilypond{ \\include "notes/tune.ily" { \\rightHand } }\n')
    arguments = ("mark", "method.lytex", "page.html", "parts/harp.ly", "--output-dir", "build", "--depfile", "d")
    assert run(*arguments, "--engraved", ".pdf") == Result(0, b"", b"")
    tree = snapshot(library / "build")
    assert sorted(tree) == ["method.lytex", "notes/tune.ily", "page.html", "parts/harp.d", "parts/harp.ly"]
    assert tree["method.lytex"].startswith(METHOD_MARKED)
    assert (tree["page.html"], tree["notes/tune.ily"]) == (PAGE_MARKED, NOTES_MARKED)
    assert (library / "d").read_bytes().startswith(b"build/method.lytex build/page.html build/parts/harp.ly: \\\n")
    assert run(*arguments) == Result(0, b"", b"")


def test_in_place_and_as_a_difference(run: Run, library: Path) -> None:
    found = run("mark", "--diff", "method.lytex", "page.html")
    assert (found.status, found.err) == (1, b"")
    assert len(re.findall(rb"^\+(?!\+\+)", found.out, re.MULTILINE)) == 6
    assert run("mark", "--in-place", "method.lytex", "page.html") == Result(0, b"", b"")
    assert (library / "method.lytex").read_bytes() == METHOD_MARKED
    assert run("mark", "--diff", "method.lytex", "page.html") == Result(0, b"", b"")


def test_an_earlier_marking_of_a_document_is_kept(run: Run, library: Path) -> None:
    other = METHOD_MARKED.replace(b"g'^1 ", b"g'^2 ").replace(b"e'^2", b"e'^3").replace(b"c'4^3", b"c'4^4")
    (library / "old.lytex").write_bytes(other)
    assert run("mark", "method.lytex", "--keep", "old.lytex") == Result(0, other, b"")


def test_a_document_is_cleared(run: Run, library: Path) -> None:
    (library / "marked.lytex").write_bytes(METHOD_MARKED)
    assert run("clear", "marked.lytex") == Result(0, METHOD, b"")
    assert run("diff", "method.lytex", "marked.lytex").status == 1


def test_messages_name_the_place_in_the_document(run: Run, library: Path) -> None:
    odd = METHOD.replace(b"\tSt", b"\tSt").replace(b"{ c'4 e' g' }", b"{ c'4 \\odd { e' } g' <c' a''>1 }")
    (library / "method.lytex").write_bytes(odd)
    warned = run("mark", "method.lytex")
    assert (warned.status, len(warned.lines)) == (0, 1)
    assert warned.lines[0].startswith("method.lytex:11:26: warning: \\odd is not known")
    strict = run("mark", "method.lytex", "page.html", "--strict", "--output-dir", "build")
    assert (strict.status, strict.lines[0].split(": error:")[0]) == (2, "method.lytex:11:26")
    assert sorted(snapshot(library / "build")) == ["page.html"]
    (library / "method.lytex").write_bytes(METHOD.replace(b"<c e g c'>2", b"<c e g c' a''>2"))
    assert run("check", "method.lytex").out.startswith(b"method.lytex:12:")


def test_a_finding_in_a_document_is_accepted_there_and_told_as_sarif(run: Run, library: Path) -> None:
    wrong = METHOD.replace(b"<c e g c'>2", b"<c-1 e-1>2")
    (library / "method.lytex").write_bytes(wrong)
    (result,) = json.loads(run("check", "method.lytex", "--format", "sarif").out)["runs"][0]["results"]
    region = result["locations"][0]["physicalLocation"]["region"]
    assert (region["startLine"], region["startColumn"]) == (12, 28)
    (library / "method.lytex").write_bytes(
        wrong.replace(b"<c-1 e-1>2 }", b"<c-1 e-1>2 } % lyfinger: accept finger-twice")
    )
    assert run("check", "method.lytex") == Result(0, b"", b"")


def test_the_notes_of_a_document(run: Run, library: Path) -> None:
    """Middle C is where ``relative=1`` begins (lilypond-book's usage manual); the rest is read as in a score."""
    notes = json.loads(run("notes", "method.lytex", "--format", "json").out)["notes"]
    assert [(note["line"], note["column"]) for note in notes[:5]] == [(3, 41), (3, 44), (3, 46), (3, 48), (6, 3)]
    pitches = [f"{note['pitch']['step']}{note['pitch']['octave']}" for note in notes]
    assert pitches[:8] == ["C4", "D4", "E4", "F4", "C5", "E5", "G5", "C6"]
    assert len(notes) == 15


def test_a_note_of_a_document_is_explained(run: Run, library: Path) -> None:
    assert b"C5" in run("explain", "method.lytex", "--at", "6:3").out
    several = run("explain", "method.lytex", "--bars", "1")
    assert several.lines == ["lyfinger: method.lytex has 3 snippets, each with bars of its own: name a note with --at"]
    outside = run("explain", "method.lytex", "--at", "1:1")
    assert outside.lines == ["lyfinger: no snippet of method.lytex has music in line 1, column 1"]


@pytest.mark.parametrize("data", [b"", b"no music\n", b"% \\lilypond{ c }\n"])
def test_a_document_without_music_stays(run: Run, repository: Path, data: bytes) -> None:
    (repository / "a.tex").write_bytes(data)
    for command, out in (("mark", data), ("check", b"")):
        assert run(command, "a.tex") == Result(0, out, b"")
    assert run("mark", "a.tex", "--output-dir", "build") == Result(0, b"", b"")
    assert snapshot(repository / "build") == {"a.tex": data}
    assert run("explain", "a.tex", "--bars", "1").lines == ["lyfinger: a.tex has no music in it"]


def test_snippets_that_include_the_same_notes_get_the_same_digits(run: Run, repository: Path) -> None:
    piece = b'\\begin{lilypond}\n\\include "notes/tune.ily"\n\\new Staff { \\rightHand }\n\\end{lilypond}\n'
    (repository / "a.tex").write_bytes(piece + piece.replace(b"\\rightHand", b"\\clef bass \\leftHand"))
    assert run("mark", "a.tex", "--output-dir", "build") == Result(0, b"", b"")
    assert (repository / "build" / "notes" / "tune.ily").read_bytes() == NOTES_MARKED
    assert (repository / "notes" / "tune.ily").read_bytes() == NOTES


def test_a_snippet_has_the_places_of_the_document() -> None:
    file = SourceFile("a.lytex", b"\xef\xbb\xbf\tx\xff\n\t\\lilypond[relative=-1]{ c4 d % low\n } y\r\nz")
    start, end = file.text.index(" c4"), file.text.index(" }")
    part = alone(file, Snippet(start, end, ("relative=-1",)))
    assert part.data == b"\\relative c, {  c4 d % low\n\n}\n"
    inside = range(part.lead, part.lead + end - start)
    assert [part.offset_in_whole(at) for at in inside] == list(range(start, end))
    assert [part.line_column(at) for at in inside] == [file.line_column(at) for at in range(start, end)]
    assert [part.offset_of(*part.line_column(at)) for at in inside] == list(inside)
    assert part.line_column(0) == file.line_column(start)
    assert part.offset_of(1, 1) is None
    assert part.offset_of(3, 1) is None


def test_a_document_of_many_snippets_takes_no_more_than_its_size(repository: Path) -> None:
    """2,000 snippets in 600 kB: each is read by itself, and none holds the document."""
    library = Library(directory=repository)
    file = library.stdin(b"".join(b"x" * 280 + b"\n\\lilypond{ c'%d }\n" % 4 for _ in range(2000)), "a.tex")
    root = read_root(file, library, strict=True)
    assert root.parts is not None
    assert len(root.readings) == len(root.parts) == 2000
    assert sum(len(part.data) for part in root.parts) < len(file.data)


HOSTILE = {
    "never closed.tex": b"\\begin{lilypond}\n c4\n" * 3000,
    "braces.tex": b"\\lilypond" + b"{" * 100_000,
    "blanks.tex": (b"\\begin" + b" " * 20_000) * 3,
    "verbatim.tex": b"\\begin{verbatim}\n" * 3000,
    "never closed.html": b"<lilypond> c4 \n" * 5000,
    "short.html": b"<lilypond x: c4 \n" * 5000,
    "comments.html": b"<!-- \n" * 10_000,
    "blanks.html": (b"<lilypond" + b" " * 20_000) * 3,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_document_that_means_harm_is_passed_through(name: str) -> None:
    """Patterns that try things twice would take minutes or years over these."""
    assert lyfinger("mark", "-", "--stdin-filename", name, stdin=HOSTILE[name]).out == HOSTILE[name]


@pytest.mark.parametrize("seed", range(60))
def test_damaged_documents_get_digits_or_are_refused(seed: int) -> None:
    chance = random.Random(seed)
    name, data = chance.choice((("method.lytex", METHOD), ("page.html", PAGE)))
    data = damaged(data, chance)
    first = lyfinger("mark", "-", "--stdin-filename", name, stdin=data)
    if first.status == 2:
        assert (first.out, first.err.count("\n"), "internal" in first.err) == (b"", 1, False)
        return
    assert_only_digits_added(data, first.out)
    assert lyfinger("mark", "-", "--stdin-filename", name, stdin=first.out).out == first.out
