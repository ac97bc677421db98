"""What a check found in a run: the findings that stand, and those that the source accepts."""

from __future__ import annotations

from typing import NamedTuple

from ..checking.accepting import Accepted
from ..source.messages import Message, Severity


class Report(NamedTuple):
    """Both in the order of files and places."""

    findings: tuple[Message, ...]
    accepted: tuple[Accepted, ...]

    @property
    def worst(self) -> Severity:
        """How bad the worst of the findings that stand is."""
        return max((found.severity for found in self.findings), default=Severity.NOTE)

    def counts(self) -> list[tuple[Severity, str, int]]:
        """How many findings each rule has, the worst and most frequent first."""
        counts: dict[tuple[Severity, str], int] = {}
        for one in self.findings:
            counts[one.severity, one.rule] = counts.get((one.severity, one.rule), 0) + 1
        listed = [(severity, rule, count) for (severity, rule), count in counts.items()]
        return sorted(listed, key=lambda row: (-row[0], -row[2], row[1]))

    def as_text(self) -> str:
        """A line each, as compilers write them."""
        return "".join(f"{found}\n" for found in self.findings)

    def as_summary(self) -> str:
        """A line for each rule, and the sums."""
        rows = self.counts()
        lines = [f"{count:>5}  {severity!s:<7}  {rule}" for severity, rule, count in rows]
        sums = {severity: sum(row[2] for row in rows if row[0] is severity) for severity in Severity}
        listed = [f"{sums[severity]} {severity}{'' if sums[severity] == 1 else 's'}" for severity in reversed(Severity)]
        accepted = [f"{len(self.accepted)} accepted"] if self.accepted else []
        return "".join(f"{line}\n" for line in [*lines, ", ".join([*listed, *accepted])])
