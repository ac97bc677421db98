"""``lyfinger explain``: the rules behind the digits at a place or in some bars, and the next-best fingerings."""

from __future__ import annotations

import argparse

from ..explaining.as_json import as_json
from ..explaining.as_text import as_text
from ..explaining.phrases import Phrases
from ..explaining.places import Stretch, Unfingered, around, bars_of, file_named, in_bars
from ..explaining.reasons import explained
from ..explaining.words import bars
from ..marking.plan import Plan, RootPlan
from ..marking.player import player_of
from ..source.messages import Refused
from ..source.text import Place
from .exit import Exit
from .session import Session, open_sessions, say_messages
from .streams import write_text


def explain(options: argparse.Namespace) -> int:
    """Run ``lyfinger explain``; returns the exit status. Raises Refused."""
    (session,) = open_sessions(options, [options.file])
    say_messages([session])
    player = player_of(session.config)
    found = [
        one if isinstance(one, Unfingered) else explained(one)
        for one in _pointed_at(options, session, Phrases(session.plan, player))
    ]
    text = as_json(found, player.settings) if options.format == "json" else as_text(found)
    write_text(text)
    return Exit.DONE


def _selected(plan: Plan, found: Stretch | Unfingered) -> bool:
    if isinstance(found, Unfingered):
        part, onsets = found.solved.part, range(found.onset, found.onset + 1)
    else:
        part, start = found.phrase.part, found.phrase.start
        onsets = range(found.onsets.start - start, found.onsets.stop - start)
    takes = plan.excerpt.within(part.score)
    return any(takes(part.score.notes[note]) for one in onsets for string in part.notes[one] for note in string)


def _pointed_at(options: argparse.Namespace, session: Session, phrases: Phrases) -> list[Stretch | Unfingered]:
    root = _root(options, session)
    if options.at:
        name, line, column = options.at
        file = file_named(root, name)
        offset = file.offset_of(line, column)
        if offset is None:
            raise Refused(f"{file.name} has no line {line} with a column {column}")
        return [around(session.plan, phrases, root, Place(file, offset))]
    found = [one for one in in_bars(session.plan, phrases, root, *options.bars) if _selected(session.plan, one)]
    if not found:
        there = bars_of(root)
        what = f"; it has notes in {bars(*there)}" if there else ""
        raise Refused(f"no hand plays a note in {bars(*options.bars)} of {root.reading.root.name}{what}")
    return found


def _root(options: argparse.Namespace, session: Session) -> RootPlan:
    """The one root, or of a document with several snippets the one that the place is in."""
    roots = session.plan.roots
    name = session.roots[0].file.name
    if not roots:
        raise Refused(f"{name} has no music in it")
    if len(roots) == 1:
        return roots[0]
    if not options.at:
        raise Refused(f"{name} has {len(roots)} snippets, each with bars of its own: name a note with --at")
    _, line, column = options.at
    for root in roots:
        if root.reading.root.offset_of(line, column) is not None:
            return root
    raise Refused(f"no snippet of {name} has music in line {line}, column {column}")
