"""Findings that the source accepts: ``% lyfinger: accept leap`` on their line, or alone on the line above.

Several names are separated by commas; what follows them is the reason, for whoever reads it::

    <c e g>4 % lyfinger: accept wide-chords, tenth-beside-thumb: she has the hand for it
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from typing import NamedTuple

from ..marking.weighing import did_you_mean
from ..source.messages import Message, Severity
from ..source.text import Place, SourceFile

ACCEPTS_NOTHING = "accepts-nothing"
UNKNOWN_RULE = "unknown-rule"
_NAME = r"[\w-]+"
_COMMENT = r"(?s)%[%{\s]*lyfinger:\s*accept\b\s*(?P<names>[\w-]+(?:\s*,\s*[\w-]+)*)?(?P<reason>.*?)(?:%\})?\s*"
_TO_NEXT_LINE = r"[^\n]*\n(?:[ \t]*%[^\n]*\n)*"
"""Compiled where a comment is met: most files have none."""


class Acceptance(NamedTuple):
    """A comment that accepts the findings of some rules on one line (1-based) of its file.

    ``offsets``, parallel to ``rules``, say where in the file each is named; ``reason`` may be empty.
    """

    place: Place
    line: int
    rules: tuple[str, ...]
    offsets: tuple[int, ...]
    reason: str


class Accepted(NamedTuple):
    """A finding with the comment that accepts it."""

    finding: Message
    by: Acceptance


class Remark(NamedTuple):
    """Something to say about a comment; ``unmet`` is the rule that it accepts and that does not occur, if any."""

    message: Message
    unmet: str | None = None


class Judged(NamedTuple):
    """What is left of some findings, what was accepted, and what there is to say about the comments themselves."""

    left: tuple[Message, ...]
    accepted: tuple[Accepted, ...]
    remarks: tuple[Remark, ...]


def acceptances(comments: Iterable[tuple[Place, str]]) -> list[Acceptance]:
    """The comments, taken apart, each place once. One without a name accepts nothing."""
    return [_acceptance(place, text) for place, text in dict(comments).items()]


def _acceptance(place: Place, text: str) -> Acceptance:
    found = re.fullmatch(_COMMENT, text)
    names = list(re.compile(_NAME).finditer(text, *found.span("names"))) if found and found["names"] else []
    reason = " ".join(found["reason"].strip(" \t\r\n:;.-–—").split()) if found else ""
    offsets = tuple(place.offset + name.start() for name in names)
    return Acceptance(place, _line(place, text), tuple(name[0] for name in names), offsets, reason)


def _line(place: Place, text: str) -> int:
    """The line that a comment is about: its own, or, where nothing stands before it, the next that is no comment."""
    source, behind = place.file.text, place.offset + len(text)
    before = source[source.rfind("\n", 0, place.offset) + 1 : place.offset]
    last = place.file.line_column(behind - 1)[0]
    if before.strip("\ufeff \t"):
        return last
    passed = re.compile(_TO_NEXT_LINE).match(source, behind)
    return last + (passed[0].count("\n") if passed else 0)


def judge(
    messages: Sequence[Message],
    comments: Sequence[Acceptance],
    known: Collection[str],
    asked: Callable[[str], bool],
) -> Judged:
    """Sort findings into those that stand and those that are accepted.

    ``known`` are the names of all rules, ``asked`` says whether a rule was asked at all: where it was not, nothing is
    remarked of a comment that accepts nothing.
    """
    by_line: dict[tuple[SourceFile, int, str], Acceptance] = {}
    for one in comments:
        for rule in one.rules:
            by_line.setdefault((one.place.file, one.line, rule), one)
    left: list[Message] = []
    accepted: list[Accepted] = []
    for finding in messages:
        key = (finding.place.file, finding.place.line_column[0], finding.rule)
        if key in by_line:
            accepted.append(Accepted(finding, by_line[key]))
        else:
            left.append(finding)
    met = {(one.by.place, one.finding.rule) for one in accepted}
    remarks = tuple(
        remark
        for one in comments
        for remark in _remarks(one, known)
        if remark.unmet is None or (asked(remark.unmet) and (one.place, remark.unmet) not in met)
    )
    return Judged(tuple(left), tuple(accepted), remarks)


def _remarks(one: Acceptance, known: Collection[str]) -> Iterator[Remark]:
    """What there is to say about a comment if none of its rules occurs."""
    if not one.rules:
        yield Remark(Message(Severity.WARNING, one.place, "this accepts nothing: it names no rule", UNKNOWN_RULE))
    for rule, offset in zip(one.rules, one.offsets, strict=True):
        place = Place(one.place.file, offset)
        if rule in known:
            text = f"{rule} is accepted here, and does not occur on line {one.line}"
            yield Remark(Message(Severity.NOTE, place, text, ACCEPTS_NOTHING), rule)
        else:
            text = f"no rule is called {rule}{did_you_mean(rule, known)}"
            yield Remark(Message(Severity.WARNING, place, text, UNKNOWN_RULE))
