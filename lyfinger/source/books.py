"""Music inside another document, as lilypond-book finds it: LaTeX and HTML sources with snippets of LilyPond.

A snippet is read as a file of its own whose lines and columns are those of the document. Where a snippet begins and
ends, and what is no snippet (comments, verbatim text), is what lilypond-book 2.25.12 makes of the document (measured);
what ``\\lilypondfile`` names is left alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import PurePath
from typing import NamedTuple

from .text import SourceFile, Stretch, encode


class _Kind(NamedTuple):
    """Something that stands in a document: how it opens, and how it closes unless that is all of it.

    Nothing in the patterns is tried twice, so that a damaged document takes no longer than a sound one.
    """

    opens: str
    closes: str | None = None
    is_music: bool = False


_LINE = r"^ [^%\n]*?"
_OPTIONS = r"(?: \[ (?P<options> [^\[\]]*+ ) \] )?"
_LATEX = {
    "verbatim": _Kind(rf"{_LINE} (?P<match> \\begin \s*+ \{{verbatim\}} )", r"\\end \s*+ \{verbatim\}"),
    "verb": _Kind(rf"{_LINE} (?P<match> \\verb (?P<mark> . ) [^\n]*? (?P=mark) )"),
    "environment": _Kind(
        rf"""{_LINE} (?P<match> \\begin \s*+ (?P<name> \{{lilypond\}} (?P<blank> \s*+ ) )? {_OPTIONS}
             (?(name) | \s*+ \{{lilypond\}} ) )""",
        rf"{_LINE} (?P<end> \\end \s*+ \{{lilypond\}} )",
        is_music=True,
    ),
    "comment": _Kind(r"^ [^\n]*? (?P<match> % [^\n]* $ \n+ )"),
    "file": _Kind(rf"{_LINE} (?P<match> \\lilypondfile \s*+ {_OPTIONS} \s*+ \{{ \S+? \}} )"),
    "input": _Kind(rf"{_LINE} (?P<match> \\input \s*+ \{{ \S+? \}} )"),
    "command": _Kind(rf"(?P<match> \\lilypond \s*+ {_OPTIONS} \s*+ \{{ )", is_music=True),
    "version": _Kind(r"(?P<match> \\lilypondversion ) [^a-zA-Z]"),
}
_HTML = {
    "comment": _Kind(r"(?P<match> <!-- )", r"-->"),
    "element": _Kind(r"(?P<match> <lilypond (?P<options> [^:<>]*+ ) > )", r"</lilypond \s*+ >", is_music=True),
    "file": _Kind(r"(?P<match> <lilypondfile [^:<>]*+ > )", r"</lilypondfile \s*+ >"),
    "short": _Kind(r"(?P<match> <lilypond (?P<options> \s [^:<>]*+ )? : \s*+ )", r"/>", is_music=True),
    "version": _Kind(r"(?P<match> <lilypondversion \s*+ /> )"),
}
_TABLES = {"latex": _LATEX, "html": _HTML}
_FORMATS = {
    **dict.fromkeys((".latex", ".lytex", ".tex"), "latex"),
    **dict.fromkeys((".html", ".htm", ".xhtml", ".htmly"), "html"),
}
_DEEPEST = 10
"""How deep lilypond-book follows braces inside ``\\lilypond{}``."""


class Snippet(NamedTuple):
    """A stretch of music in a document: its first offset and the one behind it, and its options as written."""

    start: int
    end: int
    options: tuple[str, ...] = ()

    @property
    def is_fragment(self) -> bool:
        """Whether lilypond-book puts braces around it."""
        return self.octave is not None or "fragment" in self.options

    @property
    def octave(self) -> int | None:
        """The octave that its ``relative`` option starts from (1 is that of middle C); None if it has none."""
        found: int | None = None
        for option in self.options:
            match = re.fullmatch(r"relative\s*=?\s*(-?\d{1,9})?", option)
            if match:
                found = 1 if match[1] is None else int(match[1])
        return found


def is_book(name: str) -> bool:
    """Whether a file is a document around snippets, by the ending of its name."""
    return PurePath(name).suffix in _FORMATS


def snippets(file: SourceFile) -> list[Snippet]:
    """The snippets of a document, in order.

    >>> snippets(SourceFile("a.lytex", b"\\\\lilypond[relative=2]{ c4 d }"))
    [Snippet(start=22, end=27, options=('relative=2',))]
    """
    kind = _FORMATS[PurePath(file.name).suffix]
    found = _toplevel(file.text, [_Search(name, item) for name, item in _TABLES[kind].items()])
    return [Snippet(*item.code, tuple(_options(kind, item.options))) for item in found if item.is_music]


class _Found(NamedTuple):
    """Something at the top level of a document: where it begins and ends, and for music where its code does."""

    start: int
    end: int
    code: tuple[int, int] = (0, 0)
    options: str = ""
    is_music: bool = False


def _options(kind: str, text: str) -> Iterator[str]:
    if kind == "latex":
        yield from filter(None, re.split(r"\s*,\s*", text.strip()))
        return
    for item in re.findall(r"""[-\w.:]+ (?: \s*=\s* (?: "[^"]*" | '[^']*' | \S+ ) )?""", text, re.VERBOSE):
        yield re.sub(r"""(=\s*)(["'])(.*)\2$""", r"\1\3", item)


class _Search:
    """Looks for one kind from wherever it is asked to; what was found once is remembered until it is passed."""

    def __init__(self, name: str, kind: _Kind) -> None:
        flags = re.MULTILINE | re.DOTALL | re.VERBOSE
        self._opens = re.compile(kind.opens, flags)
        self._closes = re.compile(kind.closes, flags) if kind.closes else None
        self._kind = kind
        self._braced = name == "command"
        self._known: _Found | None = None
        self._gone = False

    def first(self, text: str, at: int, limit: int) -> _Found | None:
        """The first of the kind that begins at an offset or later and lies before another as a whole."""
        if self._known is not None and self._known.start >= at:
            return self._known
        self._known = None if self._gone else self._next(text, at, limit)
        self._gone = self._known is None and (self._gone or limit == len(text))
        return self._known

    def _next(self, text: str, at: int, limit: int) -> _Found | None:
        for match in self._opens.finditer(text, at, limit):
            if not self._braced:
                return self._closed(match, text, limit)
            line, end = text.rfind("\n", 0, match.start()) + 1, _behind_brace(text, match.end(), limit)
            if end >= 0 and line >= at and "%" not in text[line : match.start()]:
                return self._found(match, text, match.end(), end - 1, end)
        return None

    def _closed(self, match: re.Match[str], text: str, limit: int) -> _Found | None:
        """What has been opened here, if it is closed; if it is not, neither is what opens later."""
        start, inside = match.span("match")
        if self._closes is None:
            return _Found(start, inside)
        close = self._closes.search(text, inside, limit)
        if close is None and match.groupdict().get("blank"):  # it closes in the line that the blanks lead to
            close = self._closes.search(text, match.start("blank"), limit)
        if close is None:
            return None
        return self._found(match, text, min(inside, close.start()), close.start(), close.end())

    def _found(self, match: re.Match[str], text: str, first: int, last: int, end: int) -> _Found:
        if not self._kind.is_music:
            return _Found(match.start("match"), end)
        code = (first, first + len(text[first:last].rstrip()))
        return _Found(match.start("match"), end, code, match["options"] or "", is_music=True)


def _toplevel(text: str, searches: Sequence[_Search]) -> Iterator[_Found]:
    """What stands at the top level of a document, each behind the one before.

    The kinds are asked in the order of the table: each looks no further than where an earlier kind has found
    something, so that what can contain others comes first.
    """
    at = 0
    while True:
        first: _Found | None = None
        for search in searches:
            found = search.first(text, at, len(text) if first is None else first.start)
            if found is not None and (first is None or found.start < first.start):
                first = found
        if first is None:
            return
        yield first
        at = first.end


def _behind_brace(text: str, start: int, limit: int) -> int:
    """The offset behind the brace that closes one opened before ``start``; -1 if none does, or all is too deep."""
    depth = 0
    for brace in re.compile(r"[{}]").finditer(text, start, limit):
        depth += 1 if brace[0] == "{" else -1
        if depth < 0:
            return brace.end()
        if depth > _DEEPEST:
            break
    return -1


def alone(file: SourceFile, snippet: Snippet) -> Stretch:
    """One snippet of a document, read as its options ask."""
    before = "".join(f"{word} " for word in _opening(snippet))
    after = "\n}\n" if snippet.is_fragment else ""
    data = encode(before + file.text[snippet.start : snippet.end] + after)
    length = snippet.end - snippet.start
    return Stretch(file.name, data, file.path, whole=file, start=snippet.start, length=length, lead=len(before))


def _opening(snippet: Snippet) -> tuple[str, ...]:
    """What lilypond-book puts before a snippet."""
    octave = snippet.octave
    if octave is not None:
        return ("\\relative", "c" + ("'" if octave > 0 else ",") * abs(octave), "{")
    return ("{",) if snippet.is_fragment else ()
