"""One score as it stands in the editor: read, planned and checked."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from ..checking.findings import findings
from ..checking.selection import Selection, configured_selection
from ..config import Config, find_config, settings_at
from ..explaining.phrases import Phrases
from ..marking.plan import Plan, RootPlan, make_plan
from ..marking.player import Player, player_of
from ..reading.reader import read
from ..source.library import Library
from ..source.messages import Message, Refused, Severity
from ..source.text import SourceFile


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the command line said: more folders to include from, another hand, another configuration."""

    include_dirs: Sequence[str] = ()
    hand: str | None = None
    config: Path | None = None


@dataclass(frozen=True)
class Analysis:
    """What is known of a score. Its files are as the editor had them."""

    plan: Plan
    player: Player
    files: tuple[SourceFile, ...]
    selection: Selection

    @property
    def root(self) -> RootPlan:
        return self.plan.roots[0]

    @cached_property
    def phrases(self) -> Phrases:
        """The phrases of the plan, for reasons and other fingerings."""
        return Phrases(self.plan, self.player)

    @cached_property
    def findings(self) -> tuple[Message, ...]:
        """All that ``lyfinger check`` would say, notes left out."""
        judged = self.selection.judge(self.plan, findings(self.plan, self.player.reach))
        found = (*judged.left, *(remark.message for remark in judged.remarks))
        return tuple(message for message in found if message.severity > Severity.NOTE)

    def file(self, path: Path) -> SourceFile | None:
        """The file of the score with this real path."""
        return next((file for file in self.files if file.path and os.path.realpath(file.path) == str(path)), None)


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A score that has no reading just now, as happens while a bracket is open; and the files that it has."""

    why: Refused
    files: tuple[SourceFile, ...]


def analyse(root: Path, texts: Mapping[Path, bytes], wishes: Wishes) -> Analysis | Unreadable:
    """Read, plan and check the score in the file ``root`` (a real path). ``texts`` are the open files, by real path."""
    library = Library()
    try:
        config = _config(root, wishes)
        folders: list[str | Path] = [*wishes.include_dirs, *config.include]
        library = Library(folders, texts={str(path): data for path, data in texts.items()})
        reading = read(_file(root, texts, library), library)
        wanted = configured_selection(config.select, config.ignore, config.places)
        return Analysis(make_plan([reading], config), player_of(config), library.files, wanted)
    except Refused as refused:
        return Unreadable(refused, library.files)


def _config(root: Path, wishes: Wishes) -> Config:
    path = wishes.config or find_config(root.parent)
    config = settings_at(path)
    return config.for_hand(wishes.hand) if wishes.hand else config


def _file(root: Path, texts: Mapping[Path, bytes], library: Library) -> SourceFile:
    """The root; one that is in the editor only stands for itself."""
    if root in texts and not root.exists():
        return library.stdin(texts[root], str(root))
    return library.root(root)
