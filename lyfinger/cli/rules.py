"""``lyfinger rules``: the rules of the search and of the check, with their documentation and weights."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path

from ..checking.names import OTHERS
from ..config import Config, find_config, settings_at
from ..explaining.documentation import Documentation, Documented, documented
from ..fingering.settings import Settings
from ..fingering.weights import WEIGHTS
from ..marking.player import player_of
from ..marking.weighing import did_you_mean
from ..source.messages import Refused
from .exit import Exit
from .streams import write_text


def rules(options: argparse.Namespace) -> int:
    """Run ``lyfinger rules``; returns the exit status. Raises Refused."""
    settings = player_of(_config(options)).settings
    known = {rule.name: rule for rule in (*documented(), *_others())}
    if options.name is not None and options.name not in known:
        raise Refused(f"no rule is called {options.name}{did_you_mean(options.name, known)}")
    chosen = list(known.values()) if options.name is None else [known[options.name]]
    if options.format == "json":
        text = json.dumps({"rules": [_fields(rule, settings) for rule in chosen]}, ensure_ascii=False, indent=1) + "\n"
    else:
        text = _table(chosen, settings) if options.name is None else _page(chosen[0], settings)
    write_text(text)
    return Exit.DONE


def _others() -> Iterator[Documented]:
    """What else a check says, by name."""
    return (Documented(name, Documentation(text, {}), weighed=False) for name, text in OTHERS.items())


def _config(options: argparse.Namespace) -> Config:
    """The settings that a score in the working directory would have."""
    path = Path(options.config).absolute() if options.config else find_config(Path.cwd())
    return settings_at(path)


def _fields(rule: Documented, settings: Settings) -> dict[str, object]:
    texts = {heading.lower().replace(" ", "_"): text for heading, text in rule.documentation.sections.items()}
    weights = {"weight": settings.weight(rule.name), "standard_weight": WEIGHTS[rule.name]} if rule.weighed else {}
    kind = "search" if rule.weighed else "check"
    return {"name": rule.name, "kind": kind, **weights, "says": rule.documentation.summary, **texts}


def _table(chosen: list[Documented], settings: Settings) -> str:
    width = max(len(rule.name) for rule in chosen)
    search = [rule for rule in chosen if rule.weighed]
    lines = ["rules of the search, with their weights (thousandths for each that a rule counts; 0 is off)"]
    lines += [
        f"  {rule.name:<{width}}  {settings.weight(rule.name):>5}  {rule.documentation.summary}" for rule in search
    ]
    lines += ["", "rules of check"]
    lines += [f"  {rule.name:<{width}}  {rule.documentation.summary}" for rule in chosen if not rule.weighed]
    return "".join(f"{line}\n" for line in lines)


def _page(rule: Documented, settings: Settings) -> str:
    from textwrap import fill

    parts = [f"{rule.name}: {rule.documentation.summary}"]
    if rule.weighed:
        weight, standard = settings.weight(rule.name), WEIGHTS[rule.name]
        parts.append(f"Weight: {weight}{'' if weight == standard else f' (standard: {standard})'}")
    parts += [f"{heading}: {text}" for heading, text in rule.documentation.sections.items()]
    return "".join(fill(part, 100, subsequent_indent="  ") + "\n" for part in parts)
