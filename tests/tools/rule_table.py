"""The rule table of README.md, made from the docstrings of the rules and the tables of weights.

``python -m tests.tools.rule_table`` writes it anew between its markers; a test holds README.md to it.
"""

from __future__ import annotations

import sys
from pathlib import Path

from lyfinger.explaining.documentation import documented
from lyfinger.fingering.weights import WEIGHTS
from lyfinger.marking.weighing import LEVELS

README = Path(__file__).parent.parent.parent / "README.md"
BEGIN, END = "<!-- rules:begin -->", "<!-- rules:end -->"


def table() -> str:
    """The table in Markdown: name, what it says, weight (and a level's own), source."""
    rows = ["| rule | says | weight | source |", "|---|---|---|---|"]
    for rule in documented():
        if rule.weighed:
            cells = (f"`{rule.name}`", rule.documentation.summary, _weights(rule.name), rule.documentation.source)
            rows.append(f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in cells)} |")
    return "\n".join(rows)


def _weights(name: str) -> str:
    others = ", ".join(f"{level} {weights[name]}" for level, weights in LEVELS.items() if name in weights)
    return f"{WEIGHTS[name]} ({others})" if others else str(WEIGHTS[name])


def with_table(text: str) -> str:
    """README's text with the table as it should be. Raises ValueError where the markers are not there once each."""
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end or BEGIN in after or END in after:
        raise ValueError(f"README.md needs {BEGIN} and {END}, once each")
    return f"{before}{BEGIN}\n{table()}\n{END}{after}"


def main() -> int:
    """Write README.md where its table is out of step."""
    old = README.read_bytes().decode("utf-8")
    new = with_table(old)
    if new != old:
        README.write_bytes(new.encode("utf-8"))
    return 0


if __name__ == "__main__":
    sys.exit(main())
