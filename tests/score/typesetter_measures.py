"""What the typesetter itself says of measures: number, position and length at every note and rest."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from ..referee import engraver

HEADER = r"""\version "2.25.12"
#(define (show context)
  (let ((now (ly:context-current-moment context)))
   (format (current-error-port) "@ ~a ~a ~a ~a ~a ~a ~a\n"
    (ly:context-property context 'instrumentName) (ly:moment-main now) (ly:moment-grace now)
    (ly:context-property context 'currentBarNumber)
    (ly:moment-main (ly:context-property context 'measurePosition))
    (ly:moment-main (ly:context-property context 'measureLength)) (ly:context-property context 'timing))))
#(define (measures context)
  (make-engraver
   (acknowledgers
    ((note-head-interface engraver grob source) (show context))
    ((rest-interface engraver grob source) (show context)))))
\layout { \context { \Score \consists #measures } }
"""


class Row(NamedTuple):
    """One time step with a note or rest in it, in whole notes; ``timing`` is off in a cadenza."""

    moment: Fraction
    grace: Fraction
    number: int
    position: Fraction
    length: Fraction
    timing: bool


def measures(pieces: list[str], folder: Path) -> list[list[Row]]:
    """Engrave each piece as a score of its own, in one run; the rows of each, in order of time."""
    scores = (
        f'\\score {{ {piece} \\layout {{ \\context {{ \\Score instrumentName = #"{number}" }} }} }}'
        for number, piece in enumerate(pieces)
    )
    source = folder / "measures.ly"
    source.write_text(HEADER + "\n".join(scores), encoding="utf-8")
    done = engraver.run(["--loglevel=ERROR", "-dno-print-pages", source], folder=folder)
    rows: list[list[Row]] = [[] for _ in pieces]
    for line in done.stderr.splitlines():
        if line.startswith("@ "):
            piece, row = _row(line)
            if row not in rows[piece]:
                rows[piece].append(row)
    return rows


def _row(line: str) -> tuple[int, Row]:
    _, piece, moment, grace, number, position, length, timing = line.split()
    row = Row(Fraction(moment), Fraction(grace), int(number), Fraction(position), Fraction(length), timing == "#t")
    return int(piece), row
