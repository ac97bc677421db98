"""The open texts, and what is known of the scores that they belong to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from ..config import find_config
from .analysis import Analysis, Unreadable, Wishes, analyse
from .scores import scores_of


@dataclass
class Desk:
    """The texts that are open in the editor, by real path, and the last analysis of each score.

    An analysis is made when it is asked for and kept until a text that it depends on changes.
    """

    wishes: Wishes = field(default_factory=Wishes)
    texts: dict[Path, bytes] = field(default_factory=dict)
    _analyses: dict[Path, Analysis | Unreadable] = field(default_factory=dict)
    _homes: dict[Path, Path] = field(default_factory=dict)

    def put(self, path: Path, text: str) -> None:
        """A text was opened, or has changed."""
        data = text.encode("utf-8", "surrogatepass")
        if self.texts.get(path) != data:
            self.texts[path] = data
            self._forget(path)

    def drop(self, path: Path) -> None:
        """A text was closed: from now on the file on disk counts."""
        if self.texts.pop(path, None) is not None:
            self._forget(path)

    def renew(self) -> None:
        """Files on disk may have changed: know nothing any more."""
        self._analyses.clear()
        self._homes.clear()

    def of(self, path: Path) -> Analysis | Unreadable:
        """What is known of the score that an open file belongs to."""
        home = self._homes.get(path)
        if home is None or (home != path and self._owner(path, [home]) is None):
            home = self._home(path)
            self._homes.pop(path, None)
            if not isinstance(self._analysis(home), Unreadable):
                self._homes[path] = home
        return self._analysis(home)

    def _home(self, path: Path) -> Path:
        """The file itself if it has notes that a hand plays; else the first score that has this file's notes."""
        own = self._analysis(path)
        if isinstance(own, Unreadable) or (own.root.has_hands and not any(score.loose for score in own.root.scores)):
            return path
        config = find_config(path.parent)
        folder = config.parent if config else path.parent
        return self._owner(path, scores_of(path, folder, self.texts)) or path

    def _owner(self, path: Path, scores: Iterable[Path]) -> Path | None:
        for score in scores:
            found = self._analysis(score)
            if isinstance(found, Unreadable) or (found.root.has_hands and found.file(path) is not None):
                return score
        return None

    def _analysis(self, root: Path) -> Analysis | Unreadable:
        if root not in self._analyses:
            self._analyses[root] = analyse(root, self.texts, self.wishes)
        return self._analyses[root]

    def _forget(self, path: Path) -> None:
        """Drop what depends on a text. A score without a reading may depend on any."""
        for root, known in list(self._analyses.items()):
            if root == path or isinstance(known, Unreadable) or known.file(path) is not None:
                del self._analyses[root]
