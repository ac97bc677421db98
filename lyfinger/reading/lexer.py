r"""Flat tokens of LilyPond text, on python-ly's lexing machinery.

python-ly's own LilyPond parsers guess the mode of every place in the text, and guess wrong in places that
harp files reach (a command followed by ``_``, ``x = c'4`` at top level, ``ré``, ``c-sharp``, leading zeros). The
typesetter's lexer is flatter: brackets, strings, comments and words look the same in every mode. So the text
is cut by one python-ly parser of that flat kind; what a word means is decided in :mod:`.adapter`, which knows
the commands. Scheme is measured with python-ly's Scheme parser and never looked into.

Whitespace makes no token: every character between two tokens is whitespace.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

import ly.lex.lilypond as lily
import ly.lex.scheme as scheme
from ly.slexer import Parser, State, Token

MOST_DIGITS = 200
LETTER = r"[^\W0-9_]"  # as in the typesetter, whose digits are those ten
SYMBOL = rf"{LETTER}+(?:[-_]{LETTER}+)*"


class BlockComment(lily.BlockComment):  # type: ignore[misc]
    rx = r"%\{[\s\S]*?%\}"


class BrokenComment(Token):  # type: ignore[misc]
    rx = r"%\{"


class LineComment(lily.LineComment):  # type: ignore[misc]
    rx = r"%[^\n\r]*"


class QuotedString(lily.String):  # type: ignore[misc]
    rx = r'"(?:[^"\\]|\\[\s\S])*"'


class BrokenString(Token):  # type: ignore[misc]
    rx = r'"'


class Scheme(lily.SchemeStart):  # type: ignore[misc]
    rx = r"[#$]@?"


class Command(lily.IdentifierRef):  # type: ignore[misc]
    rx = rf'\\{SYMBOL}|\\"(?:[^"\\]|\\[\s\S])*"'


class Word(lily.Name):  # type: ignore[misc]
    """A word with the octave marks that touch it: a note name, a rest, a context name, a property."""

    rx = rf"{SYMBOL}(?:'+|,+)?"


class Script(lily.Articulation):  # type: ignore[misc]
    """A direction and a script abbreviation: ``-.``, ``^>``."""

    rx = r"[-^_][-+^.>|!_]"


class EndlessNumber(Token):  # type: ignore[misc]
    """More digits or dots than any number of music has; to compute with it would take time without end."""

    rx = rf"[0-9]{{{MOST_DIGITS + 1}}}|[0-9]+\.{{{MOST_DIGITS + 1}}}|[0-9]+/[0-9]{{{MOST_DIGITS + 1}}}"


class Fraction(lily.Fraction):  # type: ignore[misc]
    rx = r"[0-9]+/[0-9]+"


class Number(lily.Length):  # type: ignore[misc]
    """Digits and the dots that touch them: a duration, a count, a finger."""

    rx = r"[0-9]+\.*"


class Bracket(lily.Delimiter):  # type: ignore[misc]
    rx = r"<<|>>|[{}<>]"


class Quotes(lily.Octave):  # type: ignore[misc]
    """Octave marks that stand apart from their note."""


class Escaped(Token):  # type: ignore[misc]
    r"""``\\``, ``\(``, ``\<``, ``\!``, ``\3`` and their like."""

    rx = r"\\(?:[0-9]+|[^\s\w])"


class Punctuation(Token):  # type: ignore[misc]
    rx = r"[^\s\ufeff]"


class LilyPondText(Parser):  # type: ignore[misc]
    # A fraction must win over a number: they share a beginning.
    items = (
        Word,
        EndlessNumber,
        Fraction,
        Number,
        Command,
        Bracket,
        BlockComment,
        BrokenComment,
        LineComment,
        QuotedString,
        BrokenString,
        Scheme,
        Script,
        Quotes,
        Escaped,
        Punctuation,
    )


class Flat(NamedTuple):
    """A token: ``kind`` is the class name above; ``start`` and ``end`` are character offsets."""

    kind: str
    text: str
    start: int
    end: int


class LexicalError(Exception):
    """A string, a block comment, a Scheme list or a number that never ends. ``offset`` is where it begins."""

    def __init__(self, text: str, offset: int) -> None:
        super().__init__(text)
        self.offset = offset


_BROKEN = {
    "BrokenComment": "this comment has no end",
    "BrokenString": "this string has no end",
    "EndlessNumber": f"a number of more than {MOST_DIGITS} digits or dots",
}
_APART = frozenset({"Scheme", *_BROKEN})
_ENDLESS_IN_SCHEME = re.compile(rf"[0-9]{{{MOST_DIGITS + 1}}}")


def flat_tokens(text: str, start: int = 0) -> Iterator[Flat]:
    """The tokens of ``text`` from ``start`` on; a Scheme expression is one token.

    Raises :class:`LexicalError`.
    """
    pattern = LilyPondText.pattern
    kinds = [classes and classes[0].__name__ for classes in LilyPondText.index]
    make = tuple.__new__  # without the call between, which would cost as much again as all the rest
    again = True
    while again:
        again = False
        for match in pattern.finditer(text, start):
            kind = kinds[match.lastindex]
            begin, end = match.span()
            if kind not in _APART:
                yield make(Flat, (kind, text[begin:end], begin, end))
            elif kind == "Scheme":
                start = scheme_end(text, end)
                if start - begin > MOST_DIGITS and _ENDLESS_IN_SCHEME.search(text, begin, start):
                    raise LexicalError(_BROKEN["EndlessNumber"], begin)
                yield Flat(kind, text[begin:start], begin, start)
                again = True
                break
            else:
                raise LexicalError(_BROKEN[kind], begin)


class EmbeddedEnd(Token):  # type: ignore[misc]
    rx = scheme.LilyPondEnd.rx

    def update_state(self, state: State) -> None:
        state.leave()


class EmbeddedStart(Token):  # type: ignore[misc]
    rx = scheme.LilyPondStart.rx

    def update_state(self, state: State) -> None:
        state.enter(EmbeddedLilyPond())


class EmbeddedParen(Token):  # type: ignore[misc]
    """The list that an embedded ``#`` or ``$`` begins."""

    rx = r"(?<=[#$@])\("

    def update_state(self, state: State) -> None:
        state.enter(SchemeList())


class EmbeddedLilyPond(Parser):  # type: ignore[misc]
    items = (BlockComment, LineComment, QuotedString, EmbeddedEnd, EmbeddedParen)


class ListStart(Token):  # type: ignore[misc]
    rx = r"\("

    def update_state(self, state: State) -> None:
        state.enter(SchemeList())


class ListEnd(Token):  # type: ignore[misc]
    rx = r"\)"

    def update_state(self, state: State) -> None:
        state.leave()


class HashComment(Token):  # type: ignore[misc]
    rx = r"#![\s\S]*?!#|#\|[\s\S]*?\|#"


class SemicolonComment(Token):  # type: ignore[misc]
    rx = r";[^\n\r]*"


class SchemeChar(Token):  # type: ignore[misc]
    rx = scheme.Char.rx


class SchemeList(Parser):  # type: ignore[misc]
    items = (
        QuotedString,
        HashComment,
        SemicolonComment,
        SchemeChar,
        EmbeddedStart,
        ListStart,
        ListEnd,
    )


def scheme_end(text: str, offset: int) -> int:
    """Where the Scheme datum that begins at ``offset`` (behind ``#`` or ``$``) ends.

    Raises :class:`LexicalError` for a list or string without an end.
    """
    begin = offset
    while offset < len(text) and (text[offset] in "'`,@" or text[offset].isspace()):
        offset += 1
    if text.startswith("#{", offset):
        return _nested_end(text, offset, EmbeddedRoot, begin)
    if text.startswith("#(", offset):
        offset += 1
    if text.startswith("(", offset):
        return _nested_end(text, offset, SchemeRoot, begin)
    if text.startswith('"', offset):
        match = LilyPondText.pattern.match(text, offset)
        if match is None or match.group() == '"':
            raise LexicalError("this Scheme string has no end", begin)
        return int(match.end())
    if text.startswith("#\\", offset):
        offset += 3
    while offset < len(text) and not text[offset].isspace() and text[offset] not in '(){}"':
        offset += 1
    return offset


class SchemeRoot(Parser):  # type: ignore[misc]
    items = (ListStart,)


class EmbeddedRoot(Parser):  # type: ignore[misc]
    items = (EmbeddedStart,)


def _nested_end(text: str, offset: int, root: type[Parser], begin: int) -> int:
    state = State(root)
    for token in state.tokens(text, offset):
        if state.depth() == 1:
            return int(token.end)
    raise LexicalError("this Scheme expression has no end", begin)
