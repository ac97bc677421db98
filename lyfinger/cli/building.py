"""What ``mark`` leaves for make and ninja: dependency files and the stamp."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from ..reading.roots import Root
from ..source.dependencies import Rule, rules_text
from ..source.layout import Layout
from ..source.library import STANDARD_INPUT
from ..source.messages import Refused
from ..source.text import SourceFile
from .session import Sources

Items = list[tuple[Path, bytes]]


class Wanted(NamedTuple):
    """What a build tool has asked for; a command that has no such options is asked for nothing."""

    depfile: Path | None = None
    stamp: Path | None = None
    engraved: str | None = None

    @classmethod
    def of(cls, options: argparse.Namespace) -> Wanted:
        return cls(*(getattr(options, name, None) for name in cls._fields))


def refuse_without_target(options: argparse.Namespace) -> None:
    """Raise Refused for build options that have nothing to hang on."""
    wanted = Wanted.of(options)
    to_file = options.output not in (None, STANDARD_INPUT)
    if wanted.depfile and not (wanted.stamp or to_file or options.output_dir):
        raise Refused("mark: --depfile needs a target: -o OUT, --output-dir or --stamp")
    if wanted.stamp and not (to_file or options.output_dir or options.in_place):
        raise Refused("mark: --stamp goes with -o OUT, --output-dir or --in-place")
    if wanted.engraved and not options.output_dir:
        raise Refused("mark: --engraved goes with --output-dir")


def bookkeeping(options: argparse.Namespace, found: Sequence[Sources], targets: Sequence[str]) -> Items:
    """The dependency file and the stamp, as they are asked for; ``targets`` are what is written, as it was named.

    The stamp is the last thing of all to be written: where it is new, so is the rest.
    """
    wanted = Wanted.of(options)
    paths = [file.path for sources in found for file in sources.library.files if file.path]
    paths += [sources.config.file.path for sources in found if sources.config.file and sources.config.file.path]
    own = [path for path in (wanted.depfile, wanted.stamp) if path]
    read = {os.path.realpath(path) for path in paths}
    for path in own:
        if os.path.realpath(path) in read:
            raise Refused(f"{path} is a source of this run and is not overwritten")
    if len({os.path.realpath(path) for path in (*map(str, own), *targets)}) < len(own) + len(targets):
        raise Refused("mark: --depfile, --stamp and the marked files must be different files")
    items: Items = []
    if wanted.depfile:
        made = [str(wanted.stamp)] if wanted.stamp else targets
        items.append((wanted.depfile, rules_text([Rule(tuple(made), tuple(dict.fromkeys(_read(options, found))))])))
    if wanted.stamp:
        items.append((wanted.stamp, b""))
    return items


def _read(options: argparse.Namespace, found: Iterable[Sources]) -> Iterator[str]:
    """The name of every file that a run has read."""
    for sources in found:
        if sources.config.file:
            yield sources.config.file.name
        for file in sources.library.files:
            yield from sources.library.shown_names(file)
        if options.output_dir:
            for path in sources.assets():
                yield sources.library.shown(path)
        for reading in sources.earlier:
            yield from (file.name for file in reading.files if file.path)


def engraving_rules(
    options: argparse.Namespace, layout: Layout, found: Iterable[Sources]
) -> Iterator[tuple[Path, bytes]]:
    """For each score below the output directory what its engraving depends on, where that is asked for."""
    suffix = Wanted.of(options).engraved
    for sources in found if suffix else ():
        for root in sources.roots:
            if root.parts is not None:  # a document has no engraving of its own
                continue
            name = marked_name(options, layout, sources, root.file)
            engraved = str(Path(name).with_suffix(suffix or ""))
            read = [name, *_below(options, layout, sources, root)]
            path = layout.directory / layout.below_root(sources.library.absolute(root.file.name)).with_suffix(".d")
            yield path, rules_text([Rule((engraved,), tuple(dict.fromkeys(read)))])


def _below(options: argparse.Namespace, layout: Layout, sources: Sources, root: Root) -> Iterator[str]:
    """What the engraver reads of a root, as it is called below the output directory."""
    for reading in root.readings:
        for file in reading.files:
            for name in sources.library.names(file):
                yield str(options.output_dir / layout.below_root(sources.library.absolute(name)))
        for place, name in reading.assets:
            asset = sources.library.asset(place.file, name)
            if asset is not None:
                yield str(options.output_dir / layout.below_root(asset))


def marked_name(options: argparse.Namespace, layout: Layout, sources: Sources, file: SourceFile) -> str:
    """What a file below the output directory is called, seen from where that directory was named."""
    return str(options.output_dir / layout.below_root(sources.library.absolute(file.name)))
