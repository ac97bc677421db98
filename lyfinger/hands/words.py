"""Hand words: what a name or a text says of the hand, in the languages that harp parts are written in.

A name is first cut into words: at hyphens, underscores, dots and digits, at a capital after a small letter
(``harpUpper``), before the last of several capitals (``harpRHOne``), and after RH and LH whatever follows
(``RHone``). A word all in small letters is also read as a compound of the words below (``righthand``), so that
``bright``, ``leftovers`` and ``upright`` say nothing. Source of the words: common practice, no source.
"""

from __future__ import annotations

import re
from enum import IntEnum
from functools import cache, lru_cache
from itertools import pairwise
from typing import NamedTuple

from .model import Hand


class Strength(IntEnum):
    """A word names the hand itself (right, m.s.), or only a place above or below (upper, bass)."""

    PLACE = 1
    HAND = 2


class Saying(NamedTuple):
    hand: Hand
    strength: Strength
    word: str


def word_set(text: str) -> frozenset[str]:
    """Words written one after the other."""
    return frozenset(text.split())


_RIGHT = word_set(
    """
    right rh rhand droite droit md rechts rechte rechter rechtehand destra destro derecha direita
    höger höyre højre høyre oikea prawa pravá правая
    """
)
_LEFT = word_set(
    """
    left lh lhand gauche mg ms links linke linker linkehand sinistra sinistro izquierda esquerda
    vänster venstre vasen lewa levá левая
    """
)
_ABOVE = word_set(
    """
    up upper top treble high haut haute supérieur supérieure superieur oben obere oberes ober
    superiore sopra discant arriba superior
    """
)
_BELOW = word_set(
    """
    down lower bottom bass low bas basse inférieur inférieure inferieur unten untere unteres unter
    inferiore sotto basso abajo inferior
    """
)

_WORDS: dict[str, tuple[Hand, Strength]] = {
    **dict.fromkeys(_RIGHT, (Hand.RIGHT, Strength.HAND)),
    **dict.fromkeys(_LEFT, (Hand.LEFT, Strength.HAND)),
    **dict.fromkeys(_ABOVE, (Hand.RIGHT, Strength.PLACE)),
    **dict.fromkeys(_BELOW, (Hand.LEFT, Strength.PLACE)),
}
#: Words that may stand beside a hand word in a compound written small.
_NEUTRAL = word_set(
    """
    hand hands harp harpe arpa harfe harpa piano staff stave stem voice music notes note part musik
    noten main mano mão stimme system melody chords one two three ii iii iv
    """
)
#: Compounds of known words, and words before which "up" and "down" say nothing.
_EXCEPTIONS = word_set("upright downright rhone")
_AFTER_UP_OR_DOWN = word_set("beat beats bow bows right scale run")
_WORD = re.compile(r"(?:RH|LH)(?![A-Z]{2})|[A-ZÀ-ÖØ-Þ]+(?![a-zß-öø-ÿ])|[A-ZÀ-ÖØ-Þ]?[^\W\d_A-ZÀ-ÖØ-Þ]+|[^\W\d_]")
_DOTTED = {("r", "h"): "rh", ("l", "h"): "lh", ("m", "d"): "md", ("m", "g"): "mg", ("m", "s"): "ms"}


def words(name: str) -> list[str]:
    """The words of a name, in small letters.

    >>> words("RHone"), words("harpMainDroite"), words("staff-up_2"), words("m.d.")
    (['rh', 'one'], ['harp', 'main', 'droite'], ['staff', 'up'], ['md'])
    """
    found = [word.lower() for word in _WORD.findall(name)]
    joined: list[str] = []
    for word in found:
        if joined and (pair := _DOTTED.get((joined[-1], word))):
            joined[-1] = pair
        else:
            joined.append(word)
    return joined


@lru_cache(maxsize=4096)
def saying(name: str) -> Saying | None:
    """What a name says of the hand; None if nothing, or if it names both hands.

    A word for the hand outweighs a word for a place: ``upperLeft`` is for the left hand.
    """
    listed = words(name)
    found = [
        Saying(*known, word)
        for word, following in pairwise([*listed, ""])
        if (known := _known(word)) and not (word in ("up", "down") and following in _AFTER_UP_OR_DOWN)
    ]
    if len(listed) > 1 and listed[-1] in ("r", "l"):
        found.append(Saying(Hand.RIGHT if listed[-1] == "r" else Hand.LEFT, Strength.HAND, listed[-1]))
    if not found:
        return None
    strongest = [one for one in found if one.strength == max(other.strength for other in found)]
    return strongest[0] if len({one.hand for one in strongest}) == 1 else None


def parts(word: str) -> list[str]:
    """The words that a word in small letters is put together of; itself alone if it is no compound.

    >>> parts("harpright"), parts("harpsichord")
    (['harp', 'right'], ['harpsichord'])
    """
    if word in _WORDS or word in _EXCEPTIONS:
        return [word]
    part, compound = _patterns()
    return part.findall(word) if compound.fullmatch(word) else [word]


@cache
def _patterns() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """One known word, the longest that fits, and a compound of them. Compiled when first wanted: it takes 2 ms."""
    part = "|".join(sorted({*_WORDS, *_NEUTRAL}, key=lambda word: (-len(word), word)))
    return re.compile(part), re.compile(f"(?:{part})+")


def _known(word: str) -> tuple[Hand, Strength] | None:
    known = [_WORDS[part] for part in parts(word) if part in _WORDS]
    return known[0] if len(known) == 1 else None
