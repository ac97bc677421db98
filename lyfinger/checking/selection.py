"""Which findings are asked for, by the names of their rules, and which of them stand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from ..marking.plan import Plan
from ..marking.weighing import did_you_mean
from ..source.messages import Message, Refused
from ..source.text import Place
from .accepting import Judged, acceptances, judge
from .names import known_names


class Names(NamedTuple):
    """Names of rules as somebody gave them; ``place`` is where, None on the command line."""

    given: Iterable[str]
    place: Place | None = None

    def known(self) -> frozenset[str]:
        """The names. Raises Refused for one that no rule has."""
        known = known_names()
        for name in self.given:
            if name not in known:
                text = f"no rule of check is called {name}{did_you_mean(name, known)}"
                raise Refused(text if self.place else f"check: {text}", self.place)
        return frozenset(self.given)


class Selection(NamedTuple):
    """``chosen`` are the rules that are asked, None for all; those in ``ignored`` are not, chosen or not."""

    chosen: frozenset[str] | None = None
    ignored: frozenset[str] = frozenset()

    def asks(self, rule: str) -> bool:
        """Whether the findings of a rule are wanted."""
        return rule not in self.ignored and (self.chosen is None or rule in self.chosen)

    def judge(self, plan: Plan, found: Sequence[Message]) -> Judged:
        """The wanted ones among the findings of a plan, held against the comments in its sources."""
        comments = (one for root in plan.roots for one in root.reading.acceptances)
        judged = judge(found, acceptances(comments), known_names(), self.asks)
        return Judged(
            tuple(one for one in judged.left if self.asks(one.rule)),
            tuple(one for one in judged.accepted if self.asks(one.finding.rule)),
            tuple(one for one in judged.remarks if self.asks(one.message.rule)),
        )


def configured(names: Iterable[str] | None, key: str, places: Mapping[str, Place]) -> Names | None:
    """The names under a key of ``[check]``, None where it is not there; ``places`` has the lines of dotted keys."""
    return None if names is None else Names(names, places.get(f"check.{key}"))


def configured_selection(
    select: Iterable[str] | None, ignore: Iterable[str] | None, places: Mapping[str, Place]
) -> Selection:
    """What ``[check]`` comes to by itself. Raises Refused, with the line, for a name that no rule has."""
    return selection(configured(select, "select", places), configured(ignore, "ignore", places))


def selection(chosen: Names | None, ignored: Names | None) -> Selection:
    """What the names of wanted and unwanted rules come to. Raises Refused for a name that no rule has."""
    return Selection(None if chosen is None else chosen.known(), frozenset() if ignored is None else ignored.known())
