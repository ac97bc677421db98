"""The findings of a check as JSON: ``{"findings": [...], "accepted": [...], "summary": [...]}``."""

from __future__ import annotations

from ..source.messages import Message
from .listing import listed
from .report import Report


def as_json(report: Report) -> str:
    """A finding on each line; lines and columns as in messages (a tab goes to the next multiple of eight)."""
    return listed(
        findings=[_fields(one) for one in report.findings],
        accepted=[{**_fields(one.finding), "reason": one.by.reason} for one in report.accepted],
        summary=[{"rule": rule, "severity": str(worst), "count": n} for worst, rule, n in report.counts()],
    )


def _fields(one: Message) -> dict[str, object]:
    line, column = one.place.line_column
    end_line, end_column = one.end.line_column if one.end else (None, None)
    return {
        "file": one.place.file.name,
        "line": line,
        "column": column,
        "end_file": one.end.file.name if one.end and one.end.file is not one.place.file else None,
        "end_line": end_line,
        "end_column": end_column,
        "severity": str(one.severity),
        "rule": one.rule,
        "text": one.text,
        "bar": one.bar,
    }
