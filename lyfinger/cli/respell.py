"""``lyfinger pedals --respell``: a proposal, proven by reading it again, as a unified diff."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..marking.player import pedals_of, player_of
from ..marking.proof import Changed, Unchanged
from ..pedals.course import Course
from ..pedals.respelling import Proposal, Respelled, propose, replanner, respelled
from ..pedals.rewriting import rewrite, written
from ..source.messages import Message, Severity
from ..source.text import SourceFile
from .difference import unified_diff
from .exit import Exit
from .inscription import courses_of
from .mark import in_files, label
from .session import Session
from .streams import say, write_stdout


def respell(sessions: Sequence[Session]) -> int:
    """Print the diff; returns the exit status: 1 where there is one. Raises Refused if it can't be proven."""
    found = b""
    for session in sessions:
        pitches: Respelled = {}
        for root in session.plan.roots:
            for course in courses_of(session.config, root):
                pitches |= _proposal(session, course, pitches).pitches
        if pitches:
            data = rewrite([root.reading for root in session.plan.roots], session.library, pitches)
            found += _diff(session, data)
    write_stdout(found)
    return Exit.FOUND if found else Exit.DONE


def _diff(session: Session, data: Mapping[SourceFile, bytes]) -> bytes:
    """The difference of the files as they stand on disk."""
    files = {file: Changed(file, data[file], 0) if file in data else Unchanged(file) for file in session.library.files}
    changes = (item for item in in_files(session.sources, files).values() if isinstance(item, Changed))
    return b"".join(unified_diff(label(item.file), item.file.data, item.data) for item in changes)


def _proposal(session: Session, course: Course, before: Respelled) -> Proposal:
    planner = replanner(course, player_of(session.config).settings.harp, pedals_of(session.config))
    plan = planner(respelled(course.score, before))
    proposal = propose(plan, planner, lambda note: written(note, course.score.languages) is not None)
    say(Message(Severity.NOTE, course.score.place, _summary(proposal), "respelling"))
    return proposal


def _summary(proposal: Proposal) -> str:
    if not proposal.before:
        return "the pedals can follow; nothing need be respelled"
    notes = "1 note" if len(proposal.pitches) == 1 else f"{len(proposal.pitches)} notes"
    places = "1 place that" if proposal.before == 1 else f"{proposal.before} places that"
    if not proposal.pitches:
        return f"{places} no pedal can follow, and no twin helps: let notes end earlier, or leave some out"
    left = "none is left" if not proposal.after else f"{proposal.after} left"
    return f"{places} no pedal can follow; with {notes} respelled, {left}"
