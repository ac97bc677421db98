"""The page: which of the planned digits are printed, and what is drawn with them.

What only some styles need is imported where one of them is asked for: a build step starts often.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ..config import Config
from ..score.model import SourceNote
from ..source.messages import Message, Severity
from ..source.text import Place
from .brackets import Texts, bracket_texts, headless, merged, with_heads
from .density import EVERY_DIGIT, printed_places
from .digits import Digit
from .excerpt import Excerpt
from .forms import Crossing, place_of_head
from .side import BESIDE

if TYPE_CHECKING:
    from .plan import RootPlan, SolvedPassage

_NO_HEAD = (
    "no brackets here, and no digits beside chords or outside slurs: a fragment has no place for what the typesetter "
    "needs for them"
)


class Page(NamedTuple):
    """What goes in: ``digits``, with their signs, and ``texts`` beside them; ``silent`` digits are planned and not
    printed. ``hands_shown`` is True where there are signs for hands among the texts."""

    digits: Mapping[Place, Digit]
    silent: Mapping[Place, Digit]
    texts: Texts
    messages: tuple[Message, ...]
    hands_shown: bool


def page(
    roots: Sequence[RootPlan],
    solved: Sequence[SolvedPassage],
    planned: Mapping[Place, Digit],
    chosen: Collection[Place],
    config: Config,
    excerpt: Excerpt,
) -> Page:
    """The page of a run; ``chosen`` digits are printed at any density."""
    joined, crossed = _moves(roots, solved, config)
    digits: Mapping[Place, Digit] = planned
    silent: Mapping[Place, Digit] = {}
    if config.density != EVERY_DIGIT:
        shown = printed_places(solved, config.density) | set(chosen)
        shown |= {source.place for pair in joined.items() for source in pair}
        digits = {place: digit for place, digit in planned.items() if place in shown}
        silent = {place: digit for place, digit in planned.items() if place not in shown}
    selected = _selected(roots, excerpt) if config.brackets or joined or crossed else set()
    texts = _brackets(roots, solved, digits, selected) if config.brackets else {}
    beside = {place.file for place, digit in digits.items() if digit.side == BESIDE}
    texts = with_heads(roots, texts, beside, {place.file for place in digits} if config.outside else ())
    messages = list(_headless(roots)) if config.brackets or config.outside or config.chords == "left" else []
    hands_shown = False
    if config.hand_signs:
        from .handsigns import hand_signs

        found = hand_signs(roots, config.hands, excerpt)
        texts, hands_shown = merged(texts, found.texts), bool(found.texts)
        messages += found.messages
    if joined or crossed:
        from .moves import signed

        digits, inside = signed(digits, joined, crossed, selected)
        texts = merged(texts, inside)
    return Page(digits, silent, texts, tuple(messages), hands_shown)


def _brackets(
    roots: Iterable[RootPlan],
    solved: Sequence[SolvedPassage],
    digits: Mapping[Place, Digit],
    selected: Collection[SourceNote],
) -> Texts:
    bare = headless(root.reading for root in roots)
    return bracket_texts(solved, digits, lambda source: source in selected and source.place.file not in bare)


def _moves(
    roots: Sequence[RootPlan], solved: Sequence[SolvedPassage], config: Config
) -> tuple[Mapping[SourceNote, SourceNote], Mapping[SourceNote, Crossing]]:
    """The slides and the crossings that are asked for."""
    if not (config.slides or config.crossings):
        return {}, {}
    from .moves import crossings, slides

    scores = [score for root in roots for score in root.scores]
    return slides(solved, scores) if config.slides else {}, crossings(solved) if config.crossings else {}


def _selected(roots: Iterable[RootPlan], excerpt: Excerpt) -> set[SourceNote]:
    found: set[SourceNote] = set()
    for score in (score for root in roots for score in root.scores):
        takes = excerpt.within(score)
        found.update(note.source for note in score.notes if takes(note))
    return found


def _headless(roots: Iterable[RootPlan]) -> Iterator[Message]:
    for root in roots:
        if root.has_hands and place_of_head(root.reading.root) is None:
            yield Message(Severity.WARNING, root.scores[0].place, _NO_HEAD, "sign-left-out")
