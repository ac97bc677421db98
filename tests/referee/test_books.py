"""The snippets of a document are those that lilypond-book finds: the referee is the program itself."""

from __future__ import annotations

import random

import pytest

from lyfinger.source.books import Snippet, snippets
from lyfinger.source.text import SourceFile

from .books import rulings

LATEX = {
    "environment": "text\n\\begin{lilypond}\n  c'4 d'\n\n\\end{lilypond}\nmore",
    "options behind": "\\begin{lilypond}[fragment,relative=2, staffsize=16]\nc4 d\n\\end{lilypond}\n",
    "options before": "\\begin[relative]{lilypond}\nc4 d\n\\end{lilypond}\n",
    "lines between the options": "\\begin{lilypond}[quote,\n  relative=1,\n  notime]\nc4 d\n\\end{lilypond}\n",
    "below middle C": "\\begin{lilypond}[relative=-1]\nc4 d\n\\end{lilypond}\n\\lilypond[relative=0]{c}",
    "old spelling": "\\begin{lilypond}[relative3]\nc4 d\n\\end{lilypond}\n",
    "nofragment": "\\begin{lilypond}[nofragment]\nc4 d\n\\end{lilypond}\n",
    "one line": "\\begin{lilypond} c4 d \\end{lilypond}\n\nand then \\begin{lilypond}\ng\n\\end{lilypond}",
    "notes before the end": "\\begin{lilypond}\nc4 d\ne f \\end{lilypond}\n",
    "empty": "\\begin{lilypond}\n\\end{lilypond}\n\\lilypond{}\n\\lilypond{ }",
    "command": "a \\lilypond[fragment]{ c'4 { d' } e' } z",
    "two on a line": "a \\lilypond[fragment]{ c'4 } and \\lilypond[fragment]{ d'4 }\nand \\lilypond{ e }",
    "a command over lines": "\\lilypond [notime] {\n  c'4\n  <<{e} {g}>> }\n",
    "a comment in a command": "\\lilypond{ c'4 % low\n d' }\n\\lilypond{ g }\n",
    "comments": "% \\lilypond{ c }\nx % \\begin{lilypond}\n\\lilypond{ d }\n% \\end{lilypond}\n",
    "a comment in an environment": "\\begin{lilypond}\nc % \\end{lilypond}\nd\n\\end{lilypond}\n",
    "verbatim": "\\begin{verbatim}\n\\lilypond{ c }\n\\end{verbatim}\n\\verb|\\lilypond{ c }| \\lilypond{ d }\n",
    "an environment in verbatim": "\\begin{verbatim}\n\\begin{lilypond}\nc\n\\end{lilypond}\n\\end{verbatim}\n",
    "files": "\\lilypondfile[quote]{c.ly}\n\\musicxmlfile{a.xml} \\lilypond{ c }\n\\lilypondfile{d.ly}",
    "input": "\\input{chapter.tex} \\lilypond{ c }\n\\lilypondversion\\ \\lilypond{ d }",
    "never closed": "\\lilypond{ c { d }\n\\begin{lilypond}\nc\n",
    "closed later": "\\lilypond{ c { d } \\lilypond{ e }\n \\lilypond{ f }",
    "deep": "\\lilypond{" + "{" * 10 + "c" + "}" * 11 + "\n\\lilypond{" + "{" * 11 + "c" + "}" * 12,
    "carriage returns": "\\begin{lilypond}\r\nc4 d\r\n\\end{lilypond}\r\n",
    "beyond the basic plane": "𝄞 é \\lilypond{ c' }\n",
}
HTML = {
    "element": "<p><lilypond>\n { c'4 d' }\n</lilypond></p>",
    "options": "<lilypond fragment relative=2 verbatim>c d</lilypond>",
    "quotes": "<lilypond relative=\"2\" alt='two: c'>c d</lilypond><lilypond alt=\"c d\" relative='1'>c</lilypond>",
    "short": "see <lilypond relative=2: c d e />, and <lilypond: { c } /> <lilypond fragment staffsize=11 :c'4/>",
    "comment": "<!-- <lilypond> { c } </lilypond> --> <lilypond> { d } </lilypond>",
    "a comment in an element": "<lilypond> { d } <!-- x --> </lilypond> <lilypond fragment>c</lilypond>",
    "an arrow in the music": "<lilypond> { c--> } </lilypond> <!-- --> <lilypond fragment>c</lilypond>",
    "spaced": "<lilypond  fragment >c</lilypond  > <lilypond\nrelative\n>c</lilypond>",
    "files": "<lilypondfile quote>c.ly</lilypondfile> <lilypond>{c}</lilypond> <lilypondversion/>",
    "never closed": "<lilypond> { c } <lilypond: d /> <lilypond fragment> e",
    "blanks": "<lilypond>" + " " * 40 + "\n{ c }" + "\n" * 9 + "</lilypond>",
}
DOCUMENTS = {f"latex, {name}": ("latex", text) for name, text in LATEX.items()}
DOCUMENTS |= {f"html, {name}": ("html", text) for name, text in HTML.items()}
ENDING = {"latex": ".lytex", "html": ".html"}


def _told(snippet: Snippet) -> tuple[int, int, str]:
    head = "{" if snippet.is_fragment else ""
    if snippet.octave is not None:
        marks = "'" * snippet.octave or "," * -snippet.octave
        head = f"\\relative c{marks} {{"
    return snippet.start, snippet.end, head


def _ours(kind: str, text: str) -> list[tuple[int, int, str]]:
    return [_told(item) for item in snippets(SourceFile("book" + ENDING[kind], text.encode()))]


@pytest.fixture(scope="module")
def ruled() -> dict[str, list[tuple[int, int, str]]]:
    return dict(zip(DOCUMENTS, rulings(list(DOCUMENTS.values())), strict=True))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_snippets_are_those_that_the_program_finds(name: str, ruled: dict[str, list[tuple[int, int, str]]]) -> None:
    assert _ours(*DOCUMENTS[name]) == ruled[name]


def test_most_of_these_documents_have_snippets(ruled: dict[str, list[tuple[int, int, str]]]) -> None:
    assert sum(bool(found) for found in ruled.values()) > 0.8 * len(ruled)


def test_documents_put_together_by_chance() -> None:
    """Pieces of all of the above in any order: 1500 documents, the same for every run."""
    chance = random.Random(7)
    made = []
    for kind, table in (("latex", LATEX), ("html", HTML)):
        pieces = [piece for text in table.values() for piece in _pieces(text)]
        made += [(kind, "".join(chance.choices(pieces, k=chance.randrange(3, 14)))) for _ in range(750)]
    ruled = rulings(made)
    assert sum(map(len, ruled)) > 1000
    assert [document for document, ruling in zip(made, ruled, strict=True) if _ours(*document) != ruling] == []


def _pieces(text: str) -> list[str]:
    """A document cut behind some of its marks."""
    found, rest = [], text
    for mark in ("\n", "}", ">", "%"):
        head, cut, rest = rest.partition(mark)
        found.append(head + cut)
    return [*found, rest, text, "\n"]
