r"""How lyfinger writes its own signs, so that they are known again and can be taken out.

Each of them is written as nobody types it by hand: brackets and slides with a dash of their own before the command
(``-\startGroup``, ``-\glide``), a hand and a crossing with no blank in the markup (``^\markup\italic"L.H."``,
``^\finger\markup\undertie" 4 "``), and what the head of a score needs byte for byte as here. A sign that is written in
any other way is the user's, and stays. Source of what the typesetter makes of them: engraved pages of LilyPond 2.25.12
and 2.24.1, looked at.
"""

from __future__ import annotations

import re
from enum import Enum
from itertools import product

from ..score.model import LockedDigit
from ..source.text import SourceFile, Stretch

START, STOP = "-\\startGroup", "-\\stopGroup"
_ABOVE = "-\\tweak direction #UP "
GLIDE = "-\\glide"
ENGRAVER, ORIENTATIONS = "Horizontal_bracket_engraver", "fingeringOrientations"
_NARROW = f"\\consists {ENGRAVER} \\override HorizontalBracket.bracket-flare = #'(0 . 0) "
"""What brackets once were told alone; it is still known again."""
_BRACKETS = f"{_NARROW}\\override HorizontalBracket.padding = #1.8 "
"""From the notes there is room for a digit (staff spaces): where a beam leads from staff to staff, digits are laid out
after brackets, which else would lie over them. Measured on engraved pages of LilyPond 2.25.12."""
_LEFT = f"{ORIENTATIONS} = #'(left) "
OUTSIDE = "Fingering.outside-staff-priority"
_OUTSIDE = f"\\override {OUTSIDE} = #(lambda (digit) (and (eqv? Y (ly:grob-property digit 'side-axis)) 50)) "
"""Of digits above and below alone: one that stands left of its head stays there."""
_DEALT_OUT = re.compile(r"\\(?:auto[Cc]hange|part[Cc]ombine)")
_HANDS = {"right": '\\markup\\italic"R.H."', "left": '\\markup\\italic"L.H."'}


class Crossing(Enum):
    """How a finger comes to its string, and the typesetter's arc that says so: under the digit, or over it."""

    UNDER = "undertie"
    OVER = "overtie"

    @property
    def around(self) -> tuple[str, str]:
        """What stands before and behind the number in a digit with this sign."""
        return f'\\finger\\markup\\{self.value}" ', ' "'


def bracket(file: SourceFile, at: int, *, start: bool, above: bool) -> str:
    """The beginning or the end of a bracket, for an offset of a file.

    Where a letter follows, which would become a part of the command, a blank goes in behind it; the blank that then
    stands behind the dash, too, says that both are ours.
    """
    lead, command = _ABOVE if start and above else "", START if start else STOP
    if file.text[at : at + 1].isalpha():
        command = f"- {command[1:]} "
    return lead + command


def bracket_end(file: SourceFile, start: int, end: int) -> int | None:
    """Where an analysis bracket's command that stands there ends with all that is ours; None if it is the user's."""
    found = file.text[start:end].removeprefix(_ABOVE)
    if found in (START, STOP):
        return end
    return end + 1 if found.replace("- ", "-", 1) in (START, STOP) and file.text[end : end + 1] == " " else None


def is_own_glide(digit: LockedDigit) -> bool:
    """Whether a ``\\glide`` of ours stands before a digit."""
    return digit.glide is not None and digit.place.file.text[digit.glide : digit.place.offset] == GLIDE


def is_dealt_out(file: SourceFile) -> bool:
    """Whether the typesetter itself deals notes of a file out to staves or voices: a bracket or a line that then leads
    from one to another is more than it can follow (measured)."""
    return _DEALT_OUT.search(file.text) is not None


def hand_sign(hand: str, sign: str) -> str:
    """The sign for a hand (``right``, ``left``), above (``^``) or below (``_``) its note."""
    return sign + _HANDS[hand]


def hand_sign_end(file: SourceFile, offset: int) -> int | None:
    """Where a sign for a hand that stands there ends; None if it is the user's."""
    for sign, text in product("^_", _HANDS.values()):
        if file.text.startswith(sign + text, offset):
            return offset + 1 + len(text)
    return None


def head(*, brackets: bool, left: bool, outside: bool = False) -> str:
    """What a score needs in front of it for brackets, for digits left of chords, and for digits outside slurs."""
    needed = f"{_BRACKETS if brackets else ''}{_LEFT if left else ''}{_OUTSIDE if outside else ''}"
    return f"\\layout {{ \\context {{ \\Voice {needed}}} }} "


def place_of_head(root: SourceFile) -> int | None:
    """The offset of a root at which a head stands; None for a fragment in a document, which has no place for one."""
    if isinstance(root, Stretch) and root.lead:
        return None
    return 1 if root.text.startswith("\ufeff") else 0


def head_end(root: SourceFile) -> int | None:
    """Where the head of ours that stands in a root ends; None where none stands."""
    at = place_of_head(root)
    if at is None:
        return None
    heads = [head(brackets=one, left=two, outside=three) for one, two, three in product((True, False), repeat=3)]
    heads = [text for text in heads if text != head(brackets=False, left=False)]
    heads += [text.replace(_BRACKETS, _NARROW) for text in heads if _BRACKETS in text]
    return next((at + len(text) for text in heads if root.text.startswith(text, at)), None)


def digit_start(digit: LockedDigit) -> int:
    """Where a digit begins with what is its own: our ``\\glide`` goes with it."""
    return digit.place.offset - len(GLIDE) if is_own_glide(digit) else digit.place.offset
