"""What was read, told to make and ninja: rules without recipes."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from .messages import Refused
from .paths import for_build


class Rule(NamedTuple):
    """``targets`` are out of date when one of ``sources`` is newer; names as the build tool knows them."""

    targets: tuple[str, ...]
    sources: tuple[str, ...]


def rules_text(rules: Iterable[Rule]) -> bytes:
    """The rules as make and ninja read them, and behind them a rule with nothing to it for each source.

    The latter let the build go on where a source has been deleted that nothing includes any more. What is a target
    itself is left out of the sources. Raises Refused for a name that no rule can hold.

    >>> print(rules_text([Rule(("out.ly",), ("a b.ly", "c.ily"))]).decode(), end="")
    out.ly: \\
     a\\ b.ly \\
     c.ily
    <BLANKLINE>
    a\\ b.ly:
    <BLANKLINE>
    c.ily:
    """
    rules = tuple(Rule(*(tuple(map(for_build, names)) for names in (rule.targets, rule.sources))) for rule in rules)
    made = {name for rule in rules for name in rule.targets}
    sources = dict.fromkeys(name for rule in rules for name in rule.sources if name not in made)
    pieces = [_rule(rule.targets, [name for name in rule.sources if name not in made]) for rule in rules]
    pieces += [_rule([name], []) for name in sources]
    return os.fsencode("\n".join(pieces))


def _rule(targets: Sequence[str], sources: Sequence[str]) -> str:
    names = " ".join(escaped(name).replace("%", "\\%") for name in targets)  # a bare one would make it a pattern
    return f"{names}:" + "".join(f" \\\n {escaped(name)}" for name in sources) + "\n"


def escaped(name: str) -> str:
    """A file name as a rule holds it: before a blank, ``#`` or ``:`` a backslash, and ``$`` doubled.

    Backslashes that stand before one of these are doubled, and a ``~`` at the beginning is kept from meaning a
    home. Raises Refused for a name that make can't read in a rule however it is written (measured with GNU make 4.3).
    """
    if re.search(r"[\x00-\x1f\x7f;|=]|[\\&]$", name):
        raise Refused(f"{name}: make can't read this name in a dependency file")
    kept = f"./{name}" if name.startswith("~") else name
    return re.sub(r"(\\*)([ #:])", lambda match: match[1] * 2 + "\\" + match[2], kept).replace("$", "$$")
