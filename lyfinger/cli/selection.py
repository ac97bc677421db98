"""Which findings of a check are asked for, by the names of their rules: the command line's word, or ``[check]``'s."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from dataclasses import dataclass

from ..checking.names import known_names
from ..config import Config
from ..marking.weighing import did_you_mean
from ..source.messages import Refused
from ..source.text import Place


@dataclass(frozen=True, slots=True)
class Selection:
    """``chosen`` are the rules that are asked, None for all; those in ``ignored`` are not, chosen or not."""

    chosen: frozenset[str] | None
    ignored: frozenset[str]

    def asks(self, rule: str) -> bool:
        """Whether the findings of a rule are wanted."""
        return rule not in self.ignored and (self.chosen is None or rule in self.chosen)


def selection_of(options: argparse.Namespace, config: Config) -> Selection:
    """What ``--select`` and ``--ignore`` say, each in place of the same key of the configuration.

    Raises Refused for a name that no rule has.
    """
    chosen = _names(options.select, config.select, config.places.get("check.select"))
    ignored = _names(options.ignore, config.ignore, config.places.get("check.ignore"))
    return Selection(None if chosen is None else frozenset(chosen), frozenset(ignored or ()))


def _names(
    typed: Iterable[str] | None, configured: Iterable[str] | None, place: Place | None
) -> tuple[str, ...] | None:
    names = configured if typed is None else typed
    if names is None:
        return None
    known = known_names()
    for name in names:
        if name not in known:
            text = f"no rule of check is called {name}{did_you_mean(name, known)}"
            raise Refused(text, place) if typed is None else Refused(f"check: {text}")
    return tuple(names)
