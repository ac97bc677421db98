"""The findings of a check as SARIF 2.1.0, for code hosts and editors.

Source of the format: OASIS, *Static Analysis Results Interchange Format (SARIF) Version 2.1.0*.

Columns count unicode code points from 1, a tab as one and a byte order mark as none, which ``columnKind`` declares.
Files below the working directory are named relative to it (``%SRCROOT%``, the checkout's root to a code host).
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Sequence
from pathlib import Path
from urllib.parse import quote

from .. import __version__
from ..checking.accepting import Accepted
from ..checking.names import OTHERS
from ..explaining.documentation import Documentation, documented
from ..source.messages import Message, Severity
from ..source.paths import from_here
from ..source.text import Place, SourceFile
from .report import Report

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
ROOT = "%SRCROOT%"
_LEVELS = {Severity.NOTE: "note", Severity.WARNING: "warning", Severity.ERROR: "error"}
_WORD = re.compile(r"\\?[^\W\d_]+[',]*|\S|$")

Fields = dict[str, object]


def as_sarif(report: Report) -> str:
    """A log of one run: every rule with its documentation, then the findings, the accepted ones as suppressed."""
    rules = _rules([*report.findings, *(one.finding for one in report.accepted)])
    index = {str(rule["id"]): number for number, rule in enumerate(rules)}
    results = [_result(one, index) for one in report.findings]
    results += [{**_result(one.finding, index), "suppressions": [_suppression(one)]} for one in report.accepted]
    run = {
        "tool": {"driver": {"name": "lyfinger", "semanticVersion": __version__, "rules": rules}},
        "originalUriBaseIds": {ROOT: {"description": {"text": "the working directory of the check"}}},
        "columnKind": "unicodeCodePoints",
        "results": results,
    }
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}
    return _readable(json.dumps(log, ensure_ascii=False, indent=1)) + "\n"


def _readable(text: str) -> str:
    """The text with bytes that are not UTF-8 replaced, since JSON is Unicode."""
    return text.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def _rules(found: Sequence[Message]) -> list[Fields]:
    """A descriptor of each rule of the check, then of whatever else can be said."""
    rules = [_descriptor(rule.name, rule.documentation) for rule in documented() if not rule.weighed]
    rules += [_descriptor(name, Documentation(text, {})) for name, text in OTHERS.items()]
    known = {rule["id"] for rule in rules}
    others = dict.fromkeys(one.rule for one in found if one.rule not in known)
    return rules + [_descriptor(name, Documentation(name.replace("-", " "), {})) for name in others]


def _descriptor(name: str, documentation: Documentation) -> Fields:
    paragraphs = [documentation.summary, *(f"{head}: {text}" for head, text in documentation.sections.items())]
    when = documentation.sections.get("Applies when")
    return {
        "id": name,
        "shortDescription": {"text": documentation.summary},
        "fullDescription": {"text": f"Applies when {when}" if when else documentation.summary},
        "help": {"text": "\n\n".join(paragraphs)},
    }


def _result(one: Message, index: dict[str, int]) -> Fields:
    bar = "" if one.bar is None else f" (bar {one.bar})"
    result: Fields = {
        "ruleId": one.rule,
        "ruleIndex": index[one.rule],
        "level": _LEVELS[one.severity],
        "message": {"text": f"{one.text}{bar}"},
        "locations": [
            {"physicalLocation": {"artifactLocation": _artifact(one.place.file), "region": _region(one)}},
        ],
    }
    return result if one.bar is None else {**result, "properties": {"bar": one.bar}}


def _suppression(one: Accepted) -> Fields:
    return {"kind": "inSource", **({"justification": one.by.reason} if one.by.reason else {})}


def _artifact(file: SourceFile) -> Fields:
    """Where a file is: below the working directory by its path from there, else by its whole path."""
    if file.path is None:
        return {"uri": _quoted(file.name)}
    path = from_here(file.path)
    if path.split(os.sep)[0] == os.pardir or os.path.isabs(path):
        return {"uri": Path(file.path).absolute().as_uri()}
    return {"uri": _quoted(Path(path).as_posix()), "uriBaseId": ROOT}


def _quoted(path: str) -> str:
    return quote(os.fsencode(path), safe="/~-._")


def _region(one: Message) -> Fields:
    """From the first character of a finding to behind the word at its last place; without an end, at its first."""
    last = one.end if one.end is not None and one.end.file is one.place.file else one.place
    last = max(last, one.place, key=lambda place: place.offset)
    word = _WORD.match(last.file.text, last.offset)
    behind = Place(last.file, max(word.end() if word else last.offset, one.place.offset))
    (line, column), (end_line, end_column) = _point(one.place), _point(behind)
    return {"startLine": line, "startColumn": column, "endLine": end_line, "endColumn": end_column}


def _point(place: Place) -> tuple[int, int]:
    """Line and column, 1-based, in code points."""
    place = place.in_whole
    text = place.file.text
    start = text.rfind("\n", 0, place.offset) + 1
    skipped = text[start : place.offset].count("\ufeff") if start == 0 else 0
    return text.count("\n", 0, place.offset) + 1, place.offset - start - skipped + 1
