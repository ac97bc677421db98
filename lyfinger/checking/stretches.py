"""The findings that bear the caution about hands: what ``mark`` too has to know of, and so without the other rules."""

from __future__ import annotations

from ..harp.reach import Reach
from ..marking.plan import Plan
from ..source.messages import Message
from . import stretch_rules
from .draft import Draft
from .order import in_order_of


def stretches(plan: Plan, reach: Reach) -> list[Message]:
    """The findings that bear the caution about hands, in order of file and place."""
    draft = draft_of(plan, reach)
    return in_order_of(plan, (one for find in stretch_rules.WITH_CAUTION for one in find(draft)))


def draft_of(plan: Plan, reach: Reach) -> Draft:
    """What the rules look at in a plan."""
    scores = [pair for root in plan.roots for pair in zip(root.scores, root.hands, strict=True)]
    return Draft.of(
        scores,
        [solved.part for solved in plan.passages],
        reach,
        [solved.answer for solved in plan.passages],
        [pace for root in plan.roots for pace in root.paces],
        plan.pedals,
    )
