"""The order in which the typesetter itself plays a piece: its repeats unfolded, note by note."""

from __future__ import annotations

from pathlib import Path

from ..referee import engraver

HEADER = r"""\version "2.25.12"
#(define (play context)
  (make-engraver
   (acknowledgers
    ((note-head-interface engraver grob source)
     (format (current-error-port) "@ ~a ~a\n" (ly:context-property context 'instrumentName)
      (ly:pitch-steps (ly:event-property (ly:grob-property grob 'cause) 'pitch)))))))
\layout { \context { \Score \consists #play } }
"""


def played(pieces: list[str], folder: Path) -> list[list[int]]:
    """The pitches (steps above middle C) of each piece as they are played."""
    scores = (
        f"\\score {{ \\unfoldRepeats {{ {piece} }} "
        f'\\layout {{ \\context {{ \\Score instrumentName = #"{number}" }} }} }}'
        for number, piece in enumerate(pieces)
    )
    source = folder / "order.ly"
    source.write_text(HEADER + "\n".join(scores), encoding="utf-8")
    done = engraver.run(["--loglevel=ERROR", "-dno-print-pages", source], folder=folder)
    order: list[list[int]] = [[] for _ in pieces]
    for line in done.stderr.splitlines():
        if line.startswith("@ "):
            piece, steps = line.split()[1:]
            order[int(piece)].append(int(steps))
    return order
