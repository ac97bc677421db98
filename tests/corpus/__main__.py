"""Compare what lyfinger reads with what the typesetter prints, over many files.

    python -m tests.corpus FOLDER...            every .ly file below the folders
    python -m tests.corpus --debian             the examples of Debian's lilypond-doc-html, fetched by apt
    python -m tests.corpus --engraver           the examples in the installed engraver's own files
    python -m tests.corpus --debian --sample    the fixed sample of it (tests/corpus/sample.json)
    python -m tests.corpus FOLDER --only NAME --differences

The typesetter's rulings are kept in the cache folder, by content and engraver, so that a second run only reads.
The exit status is 1 where a note is wrong, or a file crashes the reader.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from .gather import Source, chosen, debian_documentation, engraver_examples, gather
from .judge import Outcome, Verdict, constructs, judge
from .rulings import ruling, rulings
from .sample import SAMPLE, pick, sample_digests
from .table import as_json, report


def build_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m tests.corpus", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folders", nargs="*", type=Path, metavar="FOLDER")
    parser.add_argument("--debian", action="store_true", help="add the examples of Debian's lilypond-doc-html")
    parser.add_argument("--engraver", action="store_true", help="add the examples in the engraver's own files")
    parser.add_argument("--cache", type=Path, default=Path(tempfile.gettempdir(), "referee-cache"), metavar="FOLDER")
    parser.add_argument("--jobs", type=int, default=1, metavar="N", help="typesetters, and readers, at a time")
    parser.add_argument(
        "--seconds", type=int, default=10, metavar="N", help="the longest that reading one file may take"
    )
    parser.add_argument("--only", metavar="TEXT", help="only files whose name or path has this text")
    parser.add_argument("--command", metavar="NAME", help="only files that have this command, e.g. \\\\afterGrace")
    parser.add_argument("--sample", action="store_true", help="only the files of the fixed sample")
    parser.add_argument("--write-sample", type=int, metavar="N", help="choose a new sample of N files")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write everything to FILE as well")
    parser.add_argument("--worst", type=int, default=20, metavar="N", help="how many of the worst files to list")
    parser.add_argument("--differences", action="store_true", help="print the differences of each wrong file")
    return parser


def compare_all(sources: Sequence[Source], cache: Path, jobs: int = 1, seconds: int = 10) -> list[Verdict]:
    """Rule, read and judge every file, in order."""
    for count, _ in enumerate(rulings(sources, cache, jobs), start=1):
        if count % 500 == 0:
            print(f"{count} of {len(sources)} files ruled", file=sys.stderr)
    if jobs == 1:
        return [_judged(source, cache, seconds) for source in sources]
    with ProcessPoolExecutor(jobs) as pool:
        return list(pool.map(partial(_judged, cache=cache, seconds=seconds), sources, chunksize=16))


def _judged(source: Source, cache: Path, seconds: int) -> Verdict:
    return judge(source.label, source.path.resolve(), ruling(source, cache), seconds)


def main(arguments: Sequence[str] | None = None) -> int:
    options = build_parser().parse_args(arguments)
    folders = list(options.folders)
    if options.debian:
        folders.append(debian_documentation(options.cache))
    if options.engraver:
        folders.append(engraver_examples(options.cache))
    sources = list(gather(folders, options.cache))
    if options.only:
        sources = [source for source in sources if options.only in source.label or options.only in str(source.path)]
    if options.command:
        sources = [source for source in sources if options.command in constructs(source.path)]
    if options.sample:
        sources = chosen(sources, sample_digests())
    verdicts = compare_all(sources, options.cache, options.jobs, options.seconds)
    if options.write_sample:
        SAMPLE.write_text(pick(sources, verdicts, options.write_sample), encoding="utf-8")
    print(report(verdicts, options.worst), end="")
    if options.differences:
        for verdict in verdicts:
            if verdict.outcome is Outcome.WRONG:
                print(f"\n{verdict.path} ({verdict.reason})", *verdict.differences, sep="\n  ")
    if options.json:
        options.json.write_text(json.dumps(as_json(verdicts), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return int(any(verdict.outcome in (Outcome.WRONG, Outcome.CRASHED) for verdict in verdicts))


if __name__ == "__main__":
    sys.exit(main())
