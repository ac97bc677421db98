"""The tokens of a score and of all that it includes, as one stream with global offsets."""

from __future__ import annotations

import re
from bisect import bisect_right

from ..source.messages import Refused
from ..source.text import Place, SourceFile
from .lexer import Flat, LexicalError, flat_tokens
from .syntax import Comment

COMMENTS = frozenset({"LineComment", "BlockComment"})
HAND_COMMENT = r"%[%{\s]*lyfinger:\s*(left|right|auto)\b"
ACCEPT_COMMENT = r"%[%{\s]*lyfinger:\s*accept\b"


PICTURES = ("\\epsfile", "\\image")
MOST_INCLUDES = 20_000
"""How often one reading goes on with an included file: files that include one another twice multiply."""


class Sources:
    """The files of one reading, laid end to end: a global offset is a file's base plus a character offset."""

    def __init__(self) -> None:
        self.files: list[SourceFile] = []
        self._bases: list[int] = []
        self._tokens: dict[SourceFile, list[Flat]] = {}
        self._end = 0
        self.comments: list[Comment] = []
        self.acceptances: list[tuple[Place, str]] = []
        self.languages: dict[str, None] = {}
        """The note languages in force anywhere, in the order in which they came up."""
        self.definitions: dict[int, tuple[int, int]] = {}
        """By the end of a variable that stands for a text: where that text is written, as global offsets."""

    def tokens(self, file: SourceFile) -> list[Flat]:
        """The significant tokens of a file, with global offsets; hand comments go to ``comments``,
        comments that accept a finding to ``acceptances``.

        Raises :class:`Refused` where the text can't be cut into tokens.
        """
        if file not in self._tokens:
            base = self._end
            self.files.append(file)
            self._bases.append(base)
            self._end += len(file.text) + 1
            self._tokens[file] = self._cut(file, base)
        return self._tokens[file]

    def _cut(self, file: SourceFile, base: int) -> list[Flat]:
        try:
            tokens = list(flat_tokens(file.text))
        except LexicalError as error:
            raise Refused(str(error), Place(file, error.offset)) from None
        comments = [token for token in tokens if token[0] in COMMENTS]
        for _, text, start, _ in comments:
            if found := re.match(HAND_COMMENT, text):
                word = found.group(1)
                self.comments.append(Comment(base + start, None if word == "auto" else word))
            elif re.match(ACCEPT_COMMENT, text):
                self.acceptances.append((Place(file, start), text))
        if comments:
            tokens = [token for token in tokens if token[0] not in COMMENTS]
        return [Flat(kind, text, base + start, base + end) for kind, text, start, end in tokens] if base else tokens

    def pictures(self) -> list[tuple[Place, str]]:
        """The files that ``\\epsfile`` and ``\\image`` name, in reading order."""
        found = []
        for file, tokens in self._tokens.items():
            if not any(word in file.text for word in PICTURES):
                continue
            for index, token in enumerate(tokens):
                if token.text in PICTURES:
                    names = [text for _, text, _, _ in tokens[index + 1 : index + 4] if '"' in text]
                    if names:
                        found.append((self.place(token.start), names[0].lstrip("#$").strip('"')))
        return found

    def place(self, offset: int) -> Place:
        """The file and character offset of a global offset."""
        index = bisect_right(self._bases, offset) - 1
        return Place(self.files[index], offset - self._bases[index])

    def written(self, start: int, end: int) -> str:
        """How a text between two global offsets is written; where a variable stands for it, how that was."""
        start, end = self.definitions.get(end, (start, end))
        place = self.place(start)
        return place.file.text[place.offset : place.offset + end - start]


NO_TOKEN = Flat("End", "", -1, -1)
PLAIN_ARGUMENTS = frozenset({"Word", "Number", "Fraction", "QuotedString", "Scheme"})
"""What stands behind a command and is no music."""


class Unclosed(Exception):
    """A bracket that never closes; ``offset`` is the global one of its beginning."""

    def __init__(self, text: str, offset: int) -> None:
        super().__init__(text)
        self.offset = offset


class Stream:
    """A cursor over the tokens of a file and, at each ``\\include``, of the included file."""

    def __init__(self, sources: Sources, root: SourceFile) -> None:
        self._sources = sources
        self._entered = 0
        self._stack: list[tuple[SourceFile, list[Flat], int]] = []
        self.file = root
        self._tokens = sources.tokens(root)
        self._at = 0
        self.last_end = 0

    def enter(self, file: SourceFile) -> None:
        """Go on with the tokens of ``file``, then come back. Raises Refused where there is no end to includes."""
        tokens = self._sources.tokens(file)
        self._entered += 1
        if self._entered > MOST_INCLUDES:
            raise Refused(f"files are included more than {MOST_INCLUDES} times", Place(self.file, 0))
        self._stack.append((self.file, self._tokens, self._at))
        self.file, self._tokens, self._at = file, tokens, 0

    def open_files(self) -> list[SourceFile]:
        """The files that are being read now, the root first."""
        return [entry[0] for entry in self._stack] + [self.file]

    def take(self) -> Flat:
        """The next token, or ``NO_TOKEN`` at the end of all."""
        while self._at >= len(self._tokens):
            if not self._stack:
                return NO_TOKEN
            self.file, self._tokens, self._at = self._stack.pop()
        token = self._tokens[self._at]
        self._at += 1
        self.last_end = token[3]
        return token

    def peek(self, ahead: int = 0) -> Flat:
        """A token to come; never looks beyond the end of the file that is being read."""
        at = self._at + ahead
        if at < len(self._tokens):
            return self._tokens[at]
        if ahead == 0 and self._stack:
            while self._at >= len(self._tokens) and self._stack:
                self.file, self._tokens, self._at = self._stack.pop()
            return self.peek()
        return NO_TOKEN

    def take_bracketed(self) -> list[Flat]:
        """Takes ``{ … }`` or ``<< … >>`` and returns the tokens inside; takes nothing where none begins.

        Raises Unclosed.
        """
        opening = self.peek()
        if opening.text not in ("{", "<<"):
            return []
        closing = "}" if opening.text == "{" else ">>"
        depth = 0
        inside: list[Flat] = []
        while True:
            token = self.take()
            if token.kind == "End":
                raise Unclosed(opening.text, opening.start)
            if token.kind == "Bracket":
                if token.text == opening.text:
                    depth += 1
                elif token.text == closing:
                    depth -= 1
                    if depth == 0:
                        return inside[1:]
            inside.append(token)

    def take_music(self) -> list[Flat]:
        """Takes one music argument that nobody reads: a bracketed one, a chord, or a single token. Returns it."""
        token = self.peek()
        if token.text in ("{", "<<"):
            return self.take_bracketed()
        taken = [self.take()]
        if token.text == "<":
            while taken[-1].text not in (">", ""):
                taken.append(self.take())
        elif token.kind == "Command":
            while self.peek().kind in PLAIN_ARGUMENTS:
                taken.append(self.take())
            taken += self.take_bracketed()
        return taken
