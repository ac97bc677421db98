"""Functions that a score defines in Scheme: their signatures, and whether they plainly pass their music through.

Scheme is never run. The definition's text is looked at: a function whose body is just its music, or embedded
LilyPond in which the music stands once among settings that take no time, changes nothing that is read here.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from .arguments import MUSIC_PREDICATES
from .vocabulary import Result, Signature

FUNCTION = re.compile(r"define-(?:public-)?(music|event|scheme|void)-function\b\s*(?:\(|[^\s()]+)")
RESULTS: dict[str, Result] = {"music": "music", "event": "post", "scheme": "value", "void": "void"}
PASSED = "passedThrough"
"""The name under which a call of such a function goes on: its music sounds as it is written."""


class Definition(NamedTuple):
    """A function's signature, the names of its arguments, and the text of its body."""

    signature: Signature
    names: tuple[str, ...]
    body: str

    @property
    def music(self) -> str | None:
        """The name of the one argument that is music and comes last; None if that isn't its shape."""
        kinds = [predicate in MUSIC_PREDICATES for predicate, _ in self.signature.arguments]
        if self.signature.result != "music" or len(kinds) != len(self.names) or kinds.count(True) != 1 or not kinds[-1]:
            return None
        return self.names[-1]


def definition_in(text: str, start: int = 0) -> Definition | None:
    """What a Scheme expression defines, if it plainly defines a function."""
    match = FUNCTION.search(text, start)
    if match is None:
        return None
    result = RESULTS[match.group(1)]
    if not match.group(0).endswith("("):
        return Definition(Signature("", (), result, known=False), (), "")
    lists, end = _lists(text, match.end() - 1)
    if len(lists) < 2:
        return None
    names = tuple(name for name in lists[0].split() if name not in ("parser", "location"))
    return Definition(Signature("", _predicates(lists[1]), result, known=False), names, text[end:])


def settled(found: Definition | None, is_plain: Callable[[str, str], bool]) -> Signature | None:
    """The signature to call the function by. ``is_plain(music, source)`` tells whether embedded LilyPond has the
    music once and nothing else that sounds or takes time."""
    if found is None:
        return None
    music = found.music
    if music is None:
        return found.signature
    body = re.sub(r'^\s*"(?:[^"\\]|\\.)*"', "", found.body).strip().rstrip(")").strip()
    embedded = re.fullmatch(r"#\{([\s\S]*)#\}", body)
    if body == music or (embedded is not None and is_plain(music, embedded.group(1))):
        return Signature(PASSED, found.signature.arguments, "music")
    return found.signature


def _lists(text: str, start: int) -> tuple[list[str], int]:
    """The first two lists at one level from ``start`` on, and where the second one ends."""
    depth, lists, begin = 0, [], 0
    for index in range(start, len(text)):
        if text[index] == "(":
            if depth == 0:
                begin = index
            depth += 1
        elif text[index] == ")":
            depth -= 1
            if depth == 0:
                lists.append(text[begin + 1 : index])
            if depth < 0 or len(lists) == 2:
                return lists, index + 1
    return lists, len(text)


def _predicates(text: str) -> tuple[tuple[str, bool], ...]:
    found = []
    for match in re.finditer(r"\(\s*([^\s()]+)[^()]*(?:\([^()]*\)[^()]*)*\)|([^\s()]+)", text):
        found.append((match.group(1) or match.group(2), match.group(1) is not None))
    return tuple(found)
