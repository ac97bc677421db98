"""The check: every rule asked, and what reading, hands and search had to say, each finding once."""

from __future__ import annotations

from ..harp.reach import Reach
from ..marking.plan import Plan
from ..source.messages import Message
from .order import in_order_of
from .registry import RULES
from .stretches import draft_of

#: Findings that already say what a problem of the search at the same place comes from.
_SAID_BY = {"no-finger-left": frozenset({"finger-twice", "crossed-fingers", "reach", "finger-number"})}


def findings(plan: Plan, reach: Reach) -> list[Message]:
    """All findings of a run, in order of file (as first met), place, and how bad they are.

    ``reach`` is the player's hand on the player's harp. The messages of the plan are part of the result; where a
    rule has said the same at the same place, in its own words, that stands instead. A source note that sounds several
    times gives a finding once.
    """
    draft = draft_of(plan, reach)
    found = [one for rule in RULES for one in rule.find(draft)]
    said = {(one.place, one.rule) for one in found}
    rest = [one for one in plan.messages if not any((one.place, name) in said for name in _names_for(one))]
    return in_order_of(plan, [*found, *rest])


def in_rules_words(plan: Plan, reach: Reach) -> list[Message]:
    """The messages of a plan, in the words of the rule of the check that has something to say at the same place.

    No rule is asked unless a message calls for it.
    """
    wanted = {name for one in plan.messages for name in _names_for(one)}
    asked = [rule for rule in RULES if rule.name in wanted]
    if not asked:
        return list(plan.messages)
    draft = draft_of(plan, reach)
    said = {(one.place, one.rule): one for rule in asked for one in rule.find(draft)}
    return [
        next((said[one.place, name] for name in _names_for(one) if (one.place, name) in said), one)
        for one in plan.messages
    ]


def _names_for(message: Message) -> list[str]:
    """The rules that may say the same as a message: its own, and those that say what it comes from."""
    return [message.rule, *sorted(_SAID_BY.get(message.rule, ()))]
