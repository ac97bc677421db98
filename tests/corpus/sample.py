"""A fixed sample of the corpus: names and hashes of files, spread over the commands that they have.

The files themselves are documentation under the GNU FDL and stay where they are.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from .gather import Source
from .judge import Outcome, Verdict

SAMPLE = Path(__file__).parent / "sample.json"
ABOUT = (
    "Files of Debian's lilypond-doc-html, by the hash of their content with lilypond-book's lines blanked; chosen so "
    "that each adds commands that the others lack. Written by python -m tests.corpus --debian --write-sample N"
)


def sample_digests() -> list[str]:
    """The hashes of the sample's files."""
    return list(json.loads(SAMPLE.read_text("utf-8"))["files"])


def pick(sources: Sequence[Source], verdicts: Sequence[Verdict], size: int) -> str:
    """The sample as JSON: greedily the file with the most commands not yet seen, weighted by how common they are.

    Only files count that the typesetter takes without complaint and that have at least four notes.
    """
    usable = {
        source.digest: (source, verdict)
        for source, verdict in zip(sources, verdicts, strict=True)
        if verdict.outcome is not Outcome.UNRULED and verdict.notes >= 4
    }
    weight = Counter(name for _, verdict in usable.values() for name in verdict.constructs)
    seen: set[str] = set()
    files: dict[str, dict[str, object]] = {}
    while usable and len(files) < size:
        best = max(
            usable, key=lambda digest: (sum(weight[n] for n in set(usable[digest][1].constructs) - seen), digest)
        )
        source, verdict = usable.pop(best)
        seen.update(verdict.constructs)
        files[best] = {"name": source.label, "notes": verdict.notes}
    lines = ",\n".join(f"    {json.dumps(d)}: {json.dumps(files[d], ensure_ascii=False)}" for d in sorted(files))
    return f'{{\n  "about": {json.dumps(ABOUT)},\n  "files": {{\n{lines}\n  }}\n}}\n'
