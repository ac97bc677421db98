"""Takes the arguments of commands off the token stream: all that is not music.

Every function here either takes what it is asked for and returns it, or takes nothing and returns
``NOT_THERE``. What an argument looks like follows its predicate in the typesetter's own signature.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any, Final

from .lexer import Flat
from .stream import Stream
from .vocabulary import PitchName, vocabulary


class _NotThere:
    def __bool__(self) -> bool:
        return False


NOT_THERE: Final = _NotThere()

MUSIC_PREDICATES = frozenset({"ly:music?", "ly:event?"})
"""Arguments that the grammar reads."""

EITHER_PREDICATES = frozenset({"symbol-list-or-music?", "key-list-or-music?", "duration-or-music?"})
"""Arguments that are music unless they look like something else."""


class Arguments:
    """Reads arguments from a stream, with the note names and scalar variables in force."""

    def __init__(self, stream: Stream) -> None:
        self.stream = stream
        self.names: dict[str, PitchName] = {}
        self.scalars: dict[str, str] = {}
        self.markup_commands: dict[str, list[str]] = {}
        """Markup commands that the score defines, with the predicates of their arguments."""

    # ---- single arguments ----

    def pitch(self) -> Any:
        """``(octave, step, alter)``, the octave scientific."""
        token = self.stream.peek()
        found = self.names.get(token.text.rstrip("',")) if token.kind == "Word" else None
        if found is None:
            return NOT_THERE
        self.stream.take()
        marks = octave_marks(token.text)
        if self.stream.peek().kind == "Quotes":
            marks += octave_marks(self.stream.take().text)
        return found[0] + marks + 4, found[1], found[2]

    def number(self) -> Any:
        """A whole, decimal or negative number, or a Scheme number, as a Fraction (or the Scheme text)."""
        first = self.stream.peek()
        if first.kind == "Scheme":
            return scheme_number(self.stream.take().text)
        sign, ahead = (-1, 1) if first.text == "-" else (1, 0)
        if first.kind == "Script" and first.text == "-." and self.stream.peek(1).kind == "Number":
            self.stream.take()
            return -Fraction(f"0.{self.stream.take().text}")
        token = self.stream.peek(ahead)
        if token.kind == "Fraction":
            value = fraction(token.text)
            if value is NOT_THERE:
                return NOT_THERE
            self._skip(ahead + 1)
            return sign * value
        if token.kind == "Number":
            self._skip(ahead + 1)
            return sign * self._decimal(token)
        if token.kind == "Command" and token.text[1:] in self.scalars:
            self._skip(ahead + 1)
            return scheme_number(self.scalars[token.text[1:]])
        return NOT_THERE

    def _decimal(self, token: Flat) -> Fraction:
        follower = self.stream.peek()
        if token.text.endswith(".") and follower.kind == "Number" and follower.start == token.end:
            return Fraction(token.text + self.stream.take().text)
        return Fraction(token.text.rstrip("."))

    def _skip(self, count: int) -> None:
        for _ in range(count):
            self.stream.take()

    def ratio(self) -> Any:
        """``3/2``, ``2``, ``#'(3 . 2)`` or a variable: a Fraction."""
        value = self.number()
        if isinstance(value, str):
            pair = re.fullmatch(r"'\(\s*(\d+)\s*\.\s*(\d+)\s*\)", value)
            return Fraction(int(pair[1]), int(pair[2])) if pair and int(pair[2]) else NOT_THERE
        return value

    def duration(self) -> Any:
        """A duration with dots and multipliers as a Fraction of a whole note."""
        token = self.stream.peek()
        if token.kind == "Number" or (token.kind == "Command" and token.text[1:] in LONG_DURATIONS):
            text, *factors = [token.text]
        elif token.kind == "Command" and token.text[1:] in self.scalars:
            text, *factors = self.scalars[token.text[1:]].split("*")
        else:
            return NOT_THERE
        value = duration_value(text)
        if value is None:
            return NOT_THERE
        self.stream.take()
        for factor in factors:
            value *= Fraction(factor)
        while self.stream.peek().text == ".":
            self.stream.take()
            value = value + value / 2  # rare: one dot that stands apart
        while self.stream.peek().text == "*":
            self.stream.take()
            factor = self.ratio()
            if not isinstance(factor, Fraction):
                return NOT_THERE
            value *= factor
        return value

    def text(self) -> Any:
        """A string, a word or a Scheme string, without its quotes."""
        token = self.stream.peek()
        if token.kind == "QuotedString":
            return unquoted(self.stream.take().text)
        if token.kind == "Word":
            return self.stream.take().text
        if token.kind == "Scheme":
            return scheme_text(self.stream.take().text)
        if token.kind == "Command" and token.text[1:] in self.scalars:
            return scheme_text(self.scalars[self.stream.take().text[1:]])
        return NOT_THERE

    def symbols(self) -> Any:
        """A dotted or comma-separated path, a string, or Scheme symbols: a tuple of names."""
        token = self.stream.peek()
        if token.kind == "Scheme":
            return scheme_symbols(self.stream.take().text)
        if token.kind not in ("Word", "QuotedString", "Number"):
            return NOT_THERE
        found: list[str] = []
        while True:
            token = self.stream.take()
            if token.kind == "Scheme":
                found.extend(scheme_symbols(token.text))
            else:
                found.append(unquoted(token.text).rstrip(".,"))
            if not self._path_goes_on(token):
                return tuple(found)

    def _path_goes_on(self, token: Flat) -> bool:
        follower = self.stream.peek()
        if token.kind == "Number" and token.text.endswith("."):
            return True
        if token.text.endswith(",") and follower.start == token.end:
            return follower.kind in ("Word", "Number")
        if follower.text in (".", ","):
            self.stream.take()
            return True
        return False

    def property_path(self) -> tuple[str, ...]:
        """The path behind ``\\override``, ``\\set`` and their like: words, dots and old Scheme symbols."""
        found: list[str] = []
        while True:
            token = self.stream.peek()
            if token.kind == "Scheme":
                found.extend(scheme_symbols(self.stream.take().text))
            elif token.kind in ("Word", "QuotedString"):
                found.append(unquoted(self.stream.take().text))
            elif token.text == "." or (found and token.kind == "Number" and self.stream.peek(-1).text == "."):
                self.stream.take()
            else:
                return tuple(found)
            follower = self.stream.peek()
            if not (follower.text == "." or follower.text.startswith("#'") or self.stream.peek(-1).text == "."):
                return tuple(found)

    # ---- anything ----

    def scalar(self) -> Any:
        """One value of whatever kind, as text or Fraction."""
        token = self.stream.peek()
        number = self.number()
        if number is not NOT_THERE:
            self._unit()
            while self.stream.peek().text == "," and self.stream.peek(1).kind == "Number":
                self._skip(2)  # a list of numbers: 3,3,2
            return number
        if token.kind == "QuotedString" or token.kind == "Word":
            path = self.symbols()
            return ".".join(path)
        if token.kind == "Command":
            return self._command_value(token)
        if token.kind == "Bracket" and token.text in "{<<":
            self.stream.take_bracketed()
            return ""
        if token.kind == "Escaped" and token.text[1:].isdigit():
            return self.stream.take().text
        return NOT_THERE

    def _unit(self) -> None:
        follower = self.stream.peek()
        if follower.kind == "Command" and follower.text in ("\\mm", "\\cm", "\\in", "\\pt", "\\bp"):
            self.stream.take()

    def _command_value(self, token: Flat) -> Any:
        name = token.text[1:]
        if name in ("markup", "markuplist"):
            self.stream.take()
            return self.markup()
        words = vocabulary()
        if words.kind(name) == "scheme-function":
            self.stream.take()
            for predicate, _ in words.signature(name).arguments:
                if predicate in MUSIC_PREDICATES:
                    self.stream.take_music()
                else:
                    self.scalar()
            return ""
        self.stream.take()
        if name == "with":
            self.stream.take_bracketed()
        return token.text

    # ---- markup ----

    def markup(self) -> str:
        """Takes one markup expression and returns the plain words in it."""
        token = self.stream.peek()
        if token.text == "{":
            return " ".join(_words(self.stream.take_bracketed()))
        if token.kind == "QuotedString":
            return unquoted(self.stream.take().text)
        if token.kind == "Command":
            return self._markup_command(self.stream.take().text[1:])
        if token.kind in ("Scheme", "End") or token.text == "}":
            if token.kind == "Scheme":
                self.stream.take()
            return ""
        return self._markup_word()

    def _markup_command(self, name: str) -> str:
        if name in ("score", "score-lines"):
            self.stream.take_bracketed()
            return ""
        arguments = self.markup_commands.get(name)
        if arguments is None:
            arguments = vocabulary().markup_arguments(name)
        if arguments is None and name not in self.scalars and self.stream.peek().text == "{":
            arguments = ["markup?"]
        said = []
        for predicate in arguments or ():
            if "markup" in predicate:
                said.append(self.markup())
            elif self.stream.peek().kind == "Command" and self.stream.peek().text[1:] not in self.scalars:
                self._command_value(self.stream.peek())
            else:
                self.scalar()
        return " ".join(word for word in said if word)

    def _markup_word(self) -> str:
        token = self.stream.take()
        word, end = token.text, token.end
        while True:
            follower = self.stream.peek()
            if follower.start != end or follower.text in ("{", "}") or follower.kind in NOT_IN_WORDS:
                return word
            self.stream.take()
            word, end = word + follower.text, follower.end


NOT_IN_WORDS = frozenset({"QuotedString", "Scheme", "Command", "Escaped", "End"})
LONG_DURATIONS = {"breve": Fraction(2), "longa": Fraction(4), "maxima": Fraction(8)}


def _words(tokens: list[Flat]) -> list[str]:
    """The words that markup prints, near enough to look for hand signs in them."""
    words: list[str] = []
    end = -1
    for token in tokens:
        if token.kind in ("Word", "Number", "Punctuation", "Quotes", "QuotedString"):
            text = unquoted(token.text)
            if token.start == end and words and token.kind != "QuotedString":
                words[-1] += text
            else:
                words.append(text)
            end = token.end
    return words


def octave_marks(text: str) -> int:
    """The octave marks at the end of a word, up positive."""
    return text.count("'") - text.count(",")


def fraction(text: str) -> Any:
    """``3/2`` as a Fraction; ``NOT_THERE`` for a zero denominator."""
    above, below = text.split("/")
    return Fraction(int(above), int(below)) if int(below) else NOT_THERE


_DURATIONS: dict[str, Fraction | None] = {f"\\{name}": value for name, value in LONG_DURATIONS.items()}


def duration_value(text: str) -> Fraction | None:
    """The length of ``4``, ``8..`` or ``\\breve`` in whole notes; None for what is no duration."""
    if text not in _DURATIONS:
        _DURATIONS[text] = _compute_duration(text)
    return _DURATIONS[text]


def _compute_duration(text: str) -> Fraction | None:
    digits = text.rstrip(".")
    if not digits.isdigit():
        return None
    number = int(digits)
    if number == 0 or number & (number - 1):
        return None
    dots = len(text) - len(digits)
    return Fraction(2 * 2**dots - 1, 2**dots) / number


def unquoted(text: str) -> str:
    """The contents of a quoted string; other text as it is."""
    if not text.startswith('"'):
        return text
    return re.sub(r"\\(.)", r"\1", text[1:-1])


def scheme_number(text: str) -> Any:
    """The number that a Scheme token is, else its text without the sign in front."""
    body = text.lstrip("#$")
    if _ENDLESS.search(body):
        return body
    try:
        return Fraction(body)
    except (ValueError, ZeroDivisionError):
        return body


_ENDLESS = re.compile(r"[eE][-+]?[0-9]{3}")
"""A power of ten that would be written out in full."""


def whole_number(text: str) -> int | None:
    """The number that is written in digits alone, if it is one that can be meant."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


def pair_ratio(text: str) -> Fraction | None:
    """The ratio of a pair of numbers, written ``15/16``, ``'(15 . 16)`` or ``(cons 15 16)``."""
    pair = re.fullmatch(r"[#$]?'?\(?(?:cons\s)?\s*(\d+)\s*[/.\s]\s*(\d+)\s*\)?", text)
    return Fraction(int(pair[1]), int(pair[2])) if pair and int(pair[2]) else None


def scheme_text(text: str) -> str:
    return unquoted(text.lstrip("#$").lstrip("'"))


def scheme_symbols(text: str) -> tuple[str, ...]:
    """The names in ``#'Staff``, ``#'(a b)`` or ``#"a"``."""
    return tuple(re.findall(r"[^\s()'\"`,#$.]+", text.lstrip("#$")))
