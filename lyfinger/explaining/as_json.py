"""An explanation for other tools."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from ..checking.draft import CAUTION
from ..fingering.settings import Settings
from ..score.fields import note_fields, pitch_fields
from .documentation import documented
from .places import Unfingered
from .reasons import Explained, Other, Placing
from .words import reason

_LINE = 240


def as_json(found: Sequence[Explained | Unfingered], settings: Settings) -> str:
    """``{"figures": [...], "unfingered": [...], "rules": {...}}``.

    Costs are thousandths, bars printed numbers, lines and columns 1-based. ``notes`` of a cost are indices into the
    ``notes`` of its figure, null for one outside it; ``digits`` and ``placings`` of ``next_best`` run parallel to
    ``notes``. ``next_best`` is null where there is too much music at once to look for it.
    """
    whole = {
        "figures": [_figure(one) for one in found if isinstance(one, Explained)],
        "unfingered": [_unfingered(one) for one in found if isinstance(one, Unfingered)],
        "rules": {
            rule.name: {
                "says": rule.documentation.summary,
                "source": rule.documentation.source,
                "weight": settings.weight(rule.name),
            }
            for rule in documented()
            if rule.weighed
        },
    }
    return _dumped(whole) + "\n"


def _dumped(value: Any, depth: int = 0) -> str:
    """JSON with line ends where something long begins: what fits on a line is one."""
    line = json.dumps(value, ensure_ascii=False)
    if len(line) <= _LINE or not isinstance(value, dict | list):
        return line
    pad, marks = " " * (depth + 1), "{}" if isinstance(value, dict) else "[]"
    if isinstance(value, dict):
        items = [f"{json.dumps(key)}: {_dumped(item, depth + 1)}" for key, item in value.items()]
    else:
        items = [_dumped(item, depth + 1) for item in value]
    return f"{marks[0]}\n{pad}" + f",\n{pad}".join(items) + f"\n{' ' * depth}{marks[1]}"


def _unfingered(one: Unfingered) -> dict[str, Any]:
    place = one.solved.part.first(one.onset).source.place
    line, column = place.line_column
    return {"file": place.file.name, "line": line, "column": column, "hand": one.solved.part.hand, "why": one.why}


def _figure(one: Explained) -> dict[str, Any]:
    phrase, chain = one.phrase, one.phrase.chain.onsets
    placing_of = {index: placing.number for placing in one.placings for index in placing.onsets}
    ends: dict[int, list[int]] = {}
    notes: list[dict[str, Any]] = []
    for index in one.onsets:
        own = list(_notes(one, index, placing_of[index]))
        ends[index] = list(range(len(notes), len(notes) + len(own)))
        notes += own
    return {
        "hand": phrase.part.hand,
        "bars": [phrase.bar(one.onsets[0]), phrase.bar(one.onsets[-1])],
        "phrase": {
            "bars": [phrase.bar(chain[0]), phrase.bar(chain[-1])],
            "notes": sum(len(phrase.answers.passage.onsets[index].strings) for index in chain),
            "decided_with": len(phrase.group.chains) - 1,
            "cost": one.best.cost,
            "bound": one.bound,
            "by_rule": one.best.ledger.by_rule(),
        },
        "notes": notes,
        "costs": [cost for placing in one.placings for cost in _costs(one, placing, ends)],
        "next_best": None if one.others is None else [_other(one, other) for other in one.others],
        "limits": list(one.limits),
        "caution": CAUTION if one.limits else None,
    }


def _notes(one: Explained, index: int, placing: int) -> Iterator[dict[str, Any]]:
    """The notes of an onset, from the lowest up."""
    phrase = one.phrase
    locks, fingers = phrase.answers.passage.onsets[index].locks, one.best.fingers[index]
    for note, lock, finger in zip(phrase.notes(index), locks, fingers, strict=True):
        yield {
            **note_fields(phrase.part.score, note),
            "pitch": pitch_fields(note.pitch),
            "finger": finger,
            "origin": "suggested" if lock is None else "locked",
            "placing": placing,
        }


def _costs(one: Explained, placing: Placing, ends: dict[int, list[int]]) -> Iterator[dict[str, Any]]:
    for item in placing.items:
        yield {
            "rule": item.rule,
            "units": item.units,
            "cost": item.cost,
            "placing": placing.number,
            "notes": [note for index in item.onsets for note in ends.get(index, [None])],
            "text": reason(one.phrase, one.best, item),
        }


def _other(one: Explained, other: Other) -> dict[str, Any]:
    counted: list[int] = []
    for number, group in enumerate(one.phrase.placings(other.choice.placings, one.onsets), 1):
        counted += [number for index in group for _ in other.choice.fingers[index]]
    return {
        "more": other.more,
        "cost": other.choice.cost,
        "proven": other.choice.proven,
        "digits": [finger for index in one.onsets for finger in other.choice.fingers[index]],
        "placings": counted,
        "difference": dict(other.difference),
        "changed_elsewhere": other.elsewhere,
    }
