"""A rule's docstring, taken apart: what it says in one sentence, and the texts under its fixed headings."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from inspect import cleandoc

from ..checking import registry as checking
from ..fingering import registry as fingering

HEADINGS = ("Applies when", "Cost", "Says", "Interacts with", "Source")
_HEADING = re.compile(rf"({'|'.join(HEADINGS)}): *")


@dataclass(frozen=True, slots=True)
class Documentation:
    """``summary`` is the first paragraph; ``sections`` lead from a heading to its text, in the order written."""

    summary: str
    sections: Mapping[str, str]

    @property
    def source(self) -> str:
        """Where the rule comes from, with its status: [P] published, [T] common practice, [M] from memory."""
        return self.sections.get("Source", "")


def documentation(doc: str) -> Documentation:
    """Take a docstring apart. Lines of a section are joined by blanks.

    >>> documentation("A rule.\\n\\nApplies when: always,\\nand then some.\\nSource: [T].").sections
    {'Applies when': 'always, and then some.', 'Source': '[T].'}
    """
    summary, _, rest = cleandoc(doc).partition("\n\n")
    sections: dict[str, str] = {}
    heading = ""
    for line in rest.splitlines():
        found = _HEADING.match(line)
        if found:
            heading, line = found[1], line[found.end() :]
        if heading:
            sections[heading] = f"{sections.get(heading, '')} {line}".strip()
    return Documentation(" ".join(summary.split()), sections)


@dataclass(frozen=True, slots=True)
class Documented:
    """A rule of the search or of the check, by name."""

    name: str
    documentation: Documentation
    weighed: bool


def documented() -> Iterator[Documented]:
    """Every rule with its documentation: those of the search, which have a weight, then those of the check."""
    for rule in fingering.RULES:
        yield Documented(rule.name, documentation(rule.doc), weighed=True)
    for check in checking.RULES:
        yield Documented(check.name, documentation(check.doc), weighed=False)
