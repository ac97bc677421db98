"""``lyfinger proof``: one page to look at and decide by."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Sequence
from pathlib import Path

from ..checking.findings import findings
from ..checking.order import worth_saying
from ..checking.selection import configured_selection
from ..config import Config
from ..marking.plan import Plan, RootPlan, prove
from ..marking.player import Player, player_of
from ..marking.proof import Changed
from ..proofing.data import Known, as_data
from ..proofing.engraving import Copy, Engraved, Engraving, joined
from ..proofing.figures import Figure, Figures
from ..proofing.loose import score_of
from ..proofing.marks import Kind, Mark, Places, Shown, marks, note_spots, shown_digits
from ..proofing.page import Content, as_page
from ..proofing.strip import strips
from ..proofing.typesetter import find_typesetter
from ..source.library import STANDARD_INPUT
from ..source.messages import Message, Refused
from ..source.replace import replace_file
from .exit import Exit
from .progress import Progress
from .session import Session, open_sessions, say_messages
from .streams import say, write_stdout
from .workers import spread_over


def proof(options: argparse.Namespace) -> int:
    """Run ``lyfinger proof``; returns the exit status. Raises Refused."""
    program = find_typesetter(options.lilypond)
    with Progress() as progress:
        progress.busy("reading and planning")
        (session,) = open_sessions(options, [options.file])
        files = [file.path for file in session.library.files if file.path]
        if options.output not in (None, STANDARD_INPUT):
            _refuse_target(Path(options.output), files)
        player = player_of(session.config)
        figures, engraved = _worked_out(options, session, player, program, progress)
    say_messages([session])
    for message in engraved.messages:
        say(message)
    page = as_page(_content(session, player, figures, engraved))
    if options.output in (None, STANDARD_INPUT):
        write_stdout(page)
    else:
        replace_file(Path(options.output), page)
    return Exit.DONE


def _refuse_target(target: Path, sources: Sequence[Path]) -> None:
    """Raise Refused, before the long work, where the page can't be written, or is a source (links followed)."""
    if os.path.realpath(target) in map(os.path.realpath, sources):
        raise Refused(f"{target} is a source of this run, and the page would overwrite it")
    if target.is_dir():
        raise Refused(f"can't write {target}: it is a folder")
    if not target.absolute().parent.is_dir():
        raise Refused(f"can't write {target}: there is no such folder")


def _worked_out(
    options: argparse.Namespace, session: Session, player: Player, program: str, progress: Progress
) -> tuple[list[Figure], Engraved]:
    """The placings, explained while the typesetter is at work, and what it made."""
    plan = session.plan
    every = plan._replace(digits={**plan.digits, **plan.silent})
    outcomes = prove(every, session.library).values()
    data = {item.file: item.data for item in outcomes if isinstance(item, Changed)}
    folders = [session.library.absolute(folder) for folder in (*options.include_dirs, *session.config.include)]
    places = Places([*plan.digits.values(), *plan.silent.values()], plan.texts)
    copied = Copy(session.library, data, places.back, session.sources.assets(), folders)
    roots = plan.roots
    with _engraving(program, copied, roots[0]) as engraving:
        known = Figures(plan, player)
        figures = known.explained(spread_over(options.jobs), _counter(progress, len(known.stretches), options.jobs))
        engraved = [_waited(engraving, options, progress, 0, len(roots))]
    for number, root in enumerate(roots[1:], 1):
        with _engraving(program, copied, root) as engraving:
            engraved.append(_waited(engraving, options, progress, number, len(roots)))
    return figures, joined(engraved)


def _engraving(program: str, copied: Copy, root: RootPlan) -> Engraving:
    return Engraving(program, copied, root.reading.root, score_of(root))


def _waited(engraving: Engraving, options: argparse.Namespace, progress: Progress, number: int, count: int) -> Engraved:
    """What a root gives; of several the bar shows which."""
    what = "engraving" if count == 1 else f"engraving {number + 1} of {count}"
    progress.busy(what)
    return engraving.result(options.timeout, lambda seconds: progress.busy(what, seconds))


def _counter(progress: Progress, count: int, jobs: int) -> Callable[[], None]:
    """Moves the bar on by a placing of ``count``; of several processes each has about as many, and one is watched."""
    each = -(-count // (jobs or os.cpu_count() or 1))
    numbers = iter(range(1, each))
    return lambda: progress.show("weighing other fingerings", next(numbers, each - 1), each)


def _content(session: Session, player: Player, figures: list[Figure], engraved: Engraved) -> Content:
    plan, harp = session.plan, player.reach.harp
    shown = shown_digits(plan, figures)
    places = Places([*plan.digits.values(), *plan.silent.values()], plan.texts)
    found = _findings(session, player)
    lowest, highest = _range(figures, harp.lowest, harp.highest)
    known = Known(figures, shown, player.reach, lowest, highest)
    found_marks = marks(shown, engraved.spots, places, figures)
    return Content(
        title=session.roots[0].file.name,
        player=_in_words(session.config, player),
        engraved=engraved,
        shown=shown,
        marks=found_marks,
        names=[_name(mark, shown[mark.digit], figures) for mark in found_marks],
        figures=[_figure_name(figure) for figure in figures],
        strips=strips(figures, _harpists(plan)),
        findings=found,
        where=note_spots(engraved.spots, places, (one.place for one in found)),
        data=as_data(known),
    )


def _range(figures: list[Figure], lowest: int, highest: int) -> tuple[int, int]:
    """The strings of the harp, and those beside it that the music asks for."""
    asked = [note.string for figure in figures for note in figure.notes]
    return min([lowest, *asked]), max([highest, *asked])


def _findings(session: Session, player: Player) -> list[Message]:
    config = session.config
    wanted = configured_selection(config.select, config.ignore, config.places)
    all_found = worth_saying(session.plan, findings(session.plan, player.reach))
    return list(wanted.judge(session.plan, all_found).left)


def _in_words(config: Config, player: Player) -> str:
    size = "a measured hand" if config.hand_span is not None else f"a {config.hand} hand"
    return f"For {size} (thumb to ring finger {player.hand.reach // 1000} mm), level {config.level}, harp {config.harp}"


def _harpists(plan: Plan) -> dict[tuple[int, int], str]:
    """What the harpists of a score are called, where it has several: by the score's and the player's number."""
    names: dict[tuple[int, int], str] = {}
    for number, (score, hands) in enumerate(
        pair for root in plan.roots for pair in zip(root.scores, root.hands, strict=True)
    ):
        played = zip(score.notes, hands.players, hands.hands, strict=True)
        own = {player: note.staff for note, player, hand in reversed(list(played)) if hand and player is not None}
        for rank, player in enumerate(sorted(own), 1):
            if len(own) > 1:
                names[number, player] = score.staves[own[player]].instrument or f"player {rank}"
    return names


_KIND = {
    Kind.SUGGESTED: "suggested",
    Kind.SILENT: "planned, not printed",
    Kind.LOCKED: "in the source, locked",
}


def _name(mark: Mark, one: Shown, figures: Sequence[Figure]) -> str:
    """``Bar 12, beat 2, right hand, G4: 2, suggested``."""
    digit = f"{one.text}, {_KIND[one.kind]}"
    if mark.figure is None or mark.note is None:
        return f"Digit {digit}"
    figure = figures[mark.figure]
    note = figure.notes[mark.note]
    text = ", ".join(filter(None, (note.where, f"{figure.hand} hand", f"{note.name}: {digit}")))
    return text[0].upper() + text[1:]


def _figure_name(figure: Figure) -> str:
    """``Right hand, bar 12: 4 3 2 1``."""
    bar = f", bar {figure.bar}" if figure.bar is not None else ""
    return f"{figure.hand.capitalize()} hand{bar}: {figure.line}"
