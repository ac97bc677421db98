"""Earlier markings whose digits are to be kept (``mark --keep OLD.ly``)."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterator
from pathlib import Path

from ..config import Config
from ..reading.roots import read_root
from ..score.model import Reading
from ..source.library import STANDARD_INPUT, Library
from ..source.messages import Refused
from ..source.paths import from_here


def read_earlier(options: argparse.Namespace, config: Config) -> list[Reading]:
    """Read the earlier markings that the user named, each from files of its own.

    One may lie in a tree that ``--output-dir`` wrote: then what it includes is looked for in that tree first; or apart
    from everything, as ``-o`` leaves it: then beside the files of this run. Raises Refused where one can't be read or,
    with ``--strict``, be followed.
    """
    own = ((options.stdin_filename or "") if name == STANDARD_INPUT else name for name in options.files)
    folders = dict.fromkeys([*options.include_dirs, *config.include, *map(os.path.dirname, own)])
    readings: list[Reading] = []
    for name in options.keep:
        if name == STANDARD_INPUT:
            raise Refused("mark: --keep needs a file, not standard input")
        library = Library([*_twins(options, config, name), *folders])
        readings += read_root(library.root(name), library, strict=options.strict).readings
    return readings


def _twins(options: argparse.Namespace, config: Config, old: str) -> Iterator[str]:
    """What stands for the folders of included files in the tree in which an earlier marking lies, if it does."""
    root = _absolute(options.root or config.folder or Path())
    tree = _tree(_absolute(old), root, [_absolute(file) for file in options.files])
    if tree is not None:
        for folder in map(_absolute, (*options.include_dirs, *config.include)):
            if folder.is_relative_to(root):
                yield from_here(tree / folder.relative_to(root))


def _tree(old: Path, root: Path, files: list[Path]) -> Path | None:
    """The folder below which an earlier marking lies as one of the files does below the root."""
    for path in files:
        if path != old and path.is_relative_to(root):
            below = path.relative_to(root).parts
            if old.parts[-len(below) :] == below:
                return Path(*old.parts[: -len(below)])
    return None


def _absolute(path: str | Path) -> Path:
    return Path(os.path.normpath(Path(path).absolute()))
