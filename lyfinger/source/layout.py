"""Where files land below an output directory: each at its path below the root, so that the tree engraves by itself."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

from .alone import alone_in
from .messages import Refused
from .records import RootRecord, read_records, record_file
from .replace import is_already, replace_files, sweep


class Layout(NamedTuple):
    """``root`` is the folder that is mirrored, ``directory`` where to; both absolute."""

    root: Path
    directory: Path

    def target(self, path: Path) -> Path:
        """Where the file with this absolute path lands. Raises Refused for one outside the root."""
        return self.directory / self.below_root(path)

    def below_root(self, path: Path) -> Path:
        """The path of a file below the root, as it is named, else with links followed. Raises Refused if none."""
        if path.is_relative_to(self.root):
            return path.relative_to(self.root)
        beside = Path(os.path.realpath(path.parent)) / path.name
        real_root = Path(os.path.realpath(self.root))
        if beside.is_relative_to(real_root):
            return beside.relative_to(real_root)
        raise Refused(f"{path} lies outside the root {self.root}; name a folder above both with --root")


class Output(NamedTuple):
    """What is to stand below the output directory for the file at ``source`` (absolute, as it was named)."""

    source: Path
    data: bytes


def write_tree(
    layout: Layout,
    outputs: Iterable[Output],
    records: Sequence[RootRecord],
    beside: Iterable[tuple[Path, bytes]] = (),
    last: Sequence[tuple[Path, bytes]] = (),
) -> None:
    """Write a planned tree, then the record of each of its root scores and what else is to stand ``beside`` it; a
    file that has the same bytes already keeps its time. What comes ``last`` is renewed in any case. Of several
    processes that write to one directory each sees what the one before it has written.

    All that can be foreseen is checked before the first byte is written. Raises Refused for a source outside the
    root, a target that is a source, and a shared file that would get other digits than another root gave it.
    """
    targets = _targets(layout, tuple(outputs))
    items = [(layout.directory / name, data) for name, data in targets.items()]
    items += [record_file(layout.directory, record) for record in records]
    beside = tuple(beside)
    for path in {path for path, _ in beside} & {path for path, _ in items}:
        raise Refused(f"a file of this run and its dependency file would both land at {path}")
    items += beside
    make_folder(layout.directory)
    with alone_in(layout.directory):
        _refuse_other_digits(layout, records)
        changed = [(path, data) for path, data in items if not is_already(path, data)]
        for path, _ in (*changed, *last):
            make_folder(path.parent)
        sweep(path for path, _ in items)
        replace_files([*changed, *last])


def make_folder(folder: Path) -> None:
    """Make a folder and those above it. Raises Refused."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refused(f"can't make {folder}: {error.strerror or error}") from error


def refuse_overwriting(target: Path, sources: Iterable[Path]) -> None:
    """Raise Refused if the target is one of the files that the run read, by whatever name: links are followed, and
    another spelling or a hard link of the same file is that file."""
    real, identity = os.path.realpath(target), _identity(target)
    if any(real == os.path.realpath(source) or (identity and identity == _identity(source)) for source in sources):
        raise Refused(f"{target} is a source of this run and is not overwritten; --in-place does that")


def _targets(layout: Layout, outputs: tuple[Output, ...]) -> dict[str, bytes]:
    sources = {os.path.realpath(item.source) for item in outputs}
    inodes = {status for source in sources if (status := _identity(source)) is not None}
    targets: dict[str, bytes] = {}
    for item in outputs:
        name = str(layout.below_root(item.source))
        target = layout.directory / name
        if os.path.realpath(target) in sources or _identity(target) in inodes:
            refuse_overwriting(layout.directory / name, [item.source for item in outputs])
        if targets.setdefault(name, item.data) != item.data:
            raise Refused(f"two sources of this run would land at {layout.directory / name}")
    return targets


def _identity(path: str | Path) -> tuple[int, int] | None:
    try:
        status = os.stat(path)
    except (OSError, ValueError):
        return None
    return status.st_dev, status.st_ino


def _refuse_other_digits(layout: Layout, records: Sequence[RootRecord]) -> None:
    ours = {record.root: record for record in records}
    for other in read_records(layout.directory):
        if other.root in ours:
            continue
        for record in records:
            clash = record.first_clash(other)
            if clash is not None and other.is_current(layout.root, record.settings):
                raise Refused(
                    f"{clash} would get other digits from {record.root} than {other.root} gave it: mark both in one run"
                )
