"""The referee for documents with music: lilypond-book's own modules, run by the interpreter that it comes with.

It is that of the pinned engraver, whichever rules elsewhere: 2.24's takes the line end before ``\\end{lilypond}`` into
the snippet, and finds snippets in comments and in ``verbatim`` where the newer one finds none.
"""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

from .engraver import own_files, pinned

#: For each document (kind, text) its snippets: first offset of the code, the one behind it, what it is composed into.
_SCRIPT = r"""
import builtins, json, sys, types
builtins._ = str
sys.path.insert(0, sys.argv[1])
import lilylib
lilylib.warning = lilylib.progress = lambda *ignored: None
import book_base, book_html, book_latex, book_snippets
FORMATS = {"latex": book_latex.BookLatexOutputFormat(), "html": book_html.BookHTMLOutputFormat()}
given = types.SimpleNamespace(
    information={"program_version": "0", "program_name": "x"}, padding_mm=0, vshift="0", formatter=None)
answers = []
for kind, text in json.load(sys.stdin):
    given.formatter = FORMATS[kind]
    found = []
    for chunk in book_base.find_toplevel_snippets(text, FORMATS[kind], given):
        if type(chunk) is book_snippets.LilypondSnippet:
            composed = chunk.compose_ly("@@@")
            head = composed.split("@@@")[0].split("}")[-1]
            words = " ".join(line for line in head.split("\n") if not line.startswith("%"))
            found.append([*chunk.match.span("code"), " ".join(words.split())])
    answers.append(found)
json.dump(answers, sys.stdout)
"""

Ruling = list[tuple[int, int, str]]


def rulings(documents: list[tuple[str, str]]) -> list[Ruling]:
    """The snippets of each document, told as ``("latex" or "html", text)``: the span of the code (characters), and
    the words that lilypond-book puts before it, such as ``\\relative c'' {``."""
    home = pinned().parents[1]
    done = subprocess.run(
        [_interpreter(home), "-c", _SCRIPT, str(own_files(pinned()) / "python")],
        input=json.dumps(documents),
        capture_output=True,
        check=True,
        text=True,
        timeout=120,
    )
    return [[(start, end, head) for start, end, head in found] for found in json.loads(done.stdout)]


def _interpreter(home: Path) -> Path:
    (found,) = (home / "libexec").glob("python3*")
    return found
