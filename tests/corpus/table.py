"""The summary of a comparison: one table, the constructs that go wrong, the worst files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from .judge import Outcome, Verdict


def totals(verdicts: Sequence[Verdict]) -> dict[str, int]:
    """Files by outcome, and notes. Notes of files that the typesetter complains of are counted nowhere."""
    ruled = [v for v in verdicts if v.outcome is not Outcome.UNRULED]
    unread = (Outcome.REFUSED, Outcome.CRASHED)
    return {
        "files": len(verdicts),
        "files not ruled (the typesetter complains)": len(verdicts) - len(ruled),
        "files ruled": len(ruled),
        "files with notes": sum(v.notes > 0 for v in ruled),
        **{f"files {o.value}": sum(v.outcome is o for v in ruled) for o in Outcome if o is not Outcome.UNRULED},
        "notes of the typesetter": sum(v.notes for v in ruled),
        "notes agreed": sum(v.agreed for v in ruled),
        "notes unread but warned": sum(v.warned for v in ruled),
        "notes in files refused": sum(v.notes for v in ruled if v.outcome is unread[0]),
        "notes in files crashed": sum(v.notes for v in ruled if v.outcome is unread[1]),
        "notes missing without a warning": sum(v.missing for v in ruled),
        "notes read that were not printed": sum(v.extra for v in ruled),
        "ties read otherwise": sum(v.tied for v in ruled),
    }


def suspects(verdicts: Iterable[Verdict]) -> list[tuple[str, int, int]]:
    """Commands by how far their files go wrong more often than all files: ``(command, wrong files, files)``."""
    files: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    ruled = [v for v in verdicts if v.outcome is not Outcome.UNRULED and v.notes]
    for verdict in ruled:
        files.update(verdict.constructs)
        if verdict.outcome in (Outcome.WRONG, Outcome.CRASHED):
            wrong.update(verdict.constructs)
    share = sum(v.outcome in (Outcome.WRONG, Outcome.CRASHED) for v in ruled) / max(1, len(ruled))
    ranked = sorted(wrong, key=lambda name: (share * files[name] - wrong[name], name))
    return [(name, wrong[name], files[name]) for name in ranked if wrong[name] > share * files[name]]


def beside(verdicts: Iterable[Verdict]) -> list[tuple[str, int, int]]:
    """Commands on the lines of the differences: ``(command, notes, files)``, most files first."""
    notes: Counter[str] = Counter()
    files: Counter[str] = Counter()
    for verdict in verdicts:
        for name, count in verdict.beside.items():
            notes[name] += count
            files[name] += 1
    return sorted(((n, notes[n], files[n]) for n in notes), key=lambda row: (-row[2], -row[1], row[0]))


def reasons(verdicts: Iterable[Verdict], outcome: Outcome) -> list[tuple[str, int]]:
    """Why files were refused, or how they crashed, commonest first; places are left out."""
    tally = Counter(_placeless(v.reason) for v in verdicts if v.outcome is outcome)
    return sorted(tally.items(), key=lambda item: (-item[1], item[0]))


def _placeless(reason: str) -> str:
    _, error, text = reason.partition(": error: ")
    return text if error else reason


def report(verdicts: Sequence[Verdict], worst: int = 20) -> str:
    """All of it as text."""
    parts = ["\n".join(f"{count:9,}  {name}" for name, count in totals(verdicts).items())]
    for outcome in (Outcome.CRASHED, Outcome.REFUSED):
        parts.append(
            _list(f"Why files are {outcome.value}", [f"{n:5}  {r}" for r, n in reasons(verdicts, outcome)[:30]])
        )
    columns = [f"{w:5} of {n:5}  {name}" for name, w, n in suspects(verdicts)[:40]]
    parts.append(_list("Commands whose files go wrong (wrong or crashed files, of files with notes)", columns))
    columns = [f"{n:5} notes, {f:4} files  {name}" for name, n, f in beside(verdicts)[:40]]
    parts.append(_list("Commands on the lines of the differences", columns))
    bad = [v for v in verdicts if v.outcome is Outcome.WRONG]
    bad.sort(key=lambda v: (-(v.missing + v.extra + v.tied), v.label))
    lines = [f"{v.missing:5} missing {v.extra:5} extra {v.tied:3} ties  {v.label}  {v.path}" for v in bad[:worst]]
    parts.append(_list(f"The worst of {len(bad)} wrong files", lines))
    return "\n\n".join(part for part in parts if part) + "\n"


def _list(title: str, lines: list[str]) -> str:
    return "\n".join([title, *lines]) if lines else ""


def as_json(verdicts: Sequence[Verdict]) -> dict[str, Any]:
    """The totals, and every file with its differences."""
    files = [
        {
            "label": v.label,
            "path": v.path,
            "outcome": v.outcome.value,
            "notes": v.notes,
            "agreed": v.agreed,
            "warned": v.warned,
            "missing": v.missing,
            "extra": v.extra,
            "tied": v.tied,
            "reason": v.reason,
            "differences": list(v.differences),
            "constructs": list(v.constructs),
        }
        for v in verdicts
    ]
    return {"totals": totals(verdicts), "files": files}
