"""Pedal marks that stand in the source: letters with signs, and diagrams, in any text or markup.

A text is a pedal mark where it is made of letters with a sign each, and nothing else: ``"F#"``, ``"F♯ B♭"``,
``\\markup { F \\sharp }``. Letters are the English ones, or those of a note language of the score (``Fa``, ``H``). A
diagram is the typesetter's own ``\\harp-pedal``. Common practice of the trade, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from ..harp.feet import PedalSettings
from ..reading.vocabulary import pitch_names
from ..score.pitch import LETTERS
from .letters import PEDALS

_TOKEN = re.compile(r'%\{.*?%\}|%[^\n]*|#?"(?:\\.|[^"\\])*"|\\[A-Za-z-]+|#\'?[^\s{}]+|[{}]|[^\s{}"\\]+', re.DOTALL)
_SIGN_COMMANDS = {"\\sharp": 1, "\\flat": -1, "\\natural": 0}
_SIGN_TEXT = {"♯": 1, "#": 1, "♭": -1, "b": -1, "♮": 0}
_SIGN_WORDS = {"sharp": 1, "flat": -1, "natural": 0, "n": 0}
_DIAGRAM = re.compile(r"[-^vo|\s]*")
_SEPARATORS = re.compile(r"[\s,;/()–+-]+")
_LEAD = re.compile(r"\s*ped(?:al)?s?\.?:?(?=\s|$)", re.IGNORECASE)


class Mark(NamedTuple):
    """What one text sets: alterations by step. ``diagram`` is True where it shows all seven pedals."""

    settings: Mapping[int, int]
    diagram: bool = False


def mark_of(source: str, languages: Iterable[str] = (), settings: PedalSettings | None = None) -> Mark | None:
    """The pedal mark that a text is, by how it is written; None for another text.

    >>> mark_of('_\\\\markup { F \\\\sharp }').settings, mark_of('^"dolce"')
    ({3: 1}, None)
    """
    chosen = settings or PedalSettings()
    tokens = _tokens(source)
    found = _diagram(tokens, ("\\harp-pedal", *(f"\\{name}" for name in chosen.diagrams)))
    if found is not None:
        return found
    pieces = list(_pieces(tokens))
    wordy = any(f"\\{name}" in tokens for name in chosen.changes)
    return _letters(pieces, _letter_names(tuple(languages)), wordy)


def _tokens(source: str) -> list[str]:
    found = _TOKEN.findall(source.lstrip("^_- \t\r\n"))
    return [token for token in found if not token.startswith("%")]


def _diagram(tokens: list[str], names: tuple[str, ...]) -> Mark | None:
    for index, token in enumerate(tokens[:-1]):
        if token in names:
            signs = [sign for sign in _plain(tokens[index + 1]) if sign in "^-v"]
            if len(signs) == len(PEDALS) and _DIAGRAM.fullmatch(_plain(tokens[index + 1])):
                alterations = {"^": -1, "-": 0, "v": 1}
                return Mark({step: alterations[sign] for step, sign in zip(PEDALS, signs, strict=True)}, True)
    return None


def _plain(token: str) -> str:
    """The text of a token without its quotes."""
    token = token.lstrip("#")
    return re.sub(r"\\(.)", r"\1", token[1:-1]) if token.startswith('"') else token


def _pieces(tokens: list[str]) -> Iterator[str | int]:
    """Words, and signs as alterations, in order; what only styles the words is left out."""
    for token in tokens:
        if token in _SIGN_COMMANDS:
            yield _SIGN_COMMANDS[token]
        elif token[0] not in "\\{}#" or token.startswith('#"'):
            yield _plain(token)


def _letters(pieces: list[str | int], names: Mapping[str, int], wordy: bool) -> Mark | None:
    """The letters with their signs; None unless every letter has one and nothing else is said."""
    found: dict[int, int] = {}
    waiting: int | None = None
    for piece in pieces:
        if isinstance(piece, int):
            if waiting is None:
                return None
            found[waiting], waiting = piece, None
            continue
        for word in _SEPARATORS.split(_LEAD.sub("", piece)):
            if not word or (_NUMBER.fullmatch(word) and not found and waiting is None):
                continue  # the sizes and heights that styling commands take
            signed = _signed(word, names, wordy) if waiting is None else _sign(word, wordy)
            if signed is None:
                return None
            for step, sign in [(waiting, signed)] if isinstance(signed, int) else signed:
                assert step is not None
                waiting = step if sign is None else None
                if sign is not None:
                    found[step] = sign
    return Mark(found) if found and waiting is None else None


_NUMBER = re.compile(r"[-.\d]+")


def _sign(word: str, wordy: bool) -> int | None:
    if word in _SIGN_TEXT:
        return _SIGN_TEXT[word]
    return _SIGN_WORDS.get(word.lower()) if wordy or len(word) > 1 else None


def _signed(word: str, names: Mapping[str, int], wordy: bool) -> list[tuple[int, int | None]] | None:
    """The letters of a word with their signs (``F#``, ``F♯B♭``); a letter alone waits for its sign."""
    found: list[tuple[int, int | None]] = []
    at = 0
    while at < len(word):
        name = next((name for name in names if word.startswith(name, at)), None)
        if name is None:
            return None
        at += len(name)
        rest = word[at:]
        sign = next((sign for text, sign in _SIGN_TEXT.items() if rest.startswith(text)), None)
        if sign is None and wordy and rest[:1] == "n":
            sign = 0
        if sign is None and rest:
            return None
        found.append((names[name], sign))
        at += 1
    return found


@lru_cache(maxsize=64)
def _letter_names(languages: tuple[str, ...]) -> dict[str, int]:
    """Names of letters with their steps, the longest first. English wins: B is B, in a German score too."""
    names = {name: step for step, name in enumerate(LETTERS)}
    for language in languages:
        for name, (_, step, alter) in pitch_names(language).items():
            if alter == 0:
                names.setdefault(name[:1].upper() + name[1:], step)
    return dict(sorted(names.items(), key=lambda item: -len(item[0])))
