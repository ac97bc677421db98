"""A score to print a file of bare variables by, which has none itself."""

from __future__ import annotations

from ..hands.model import Hand
from ..marking.plan import RootPlan


def score_of(root: RootPlan) -> str | None:
    """Source that prints each variable with notes for a hand on a staff, the right hand's first.

    None where the root has scores of its own, or no such variable.
    """
    names: dict[str, Hand] = {}
    for score, hands in zip(root.scores, root.hands, strict=True):
        if not score.loose:
            return None
        for note, hand in zip(score.notes, hands.hands, strict=True):
            variables = score.staves[note.staff].variables
            if hand is not None and variables:
                names.setdefault(variables[-1], hand)
    if not names:
        return None
    ordered = sorted(names, key=lambda name: names[name] is Hand.LEFT)
    staves = " ".join(f'\\new Staff \\"{name}"' for name in ordered)
    return f"\\score {{ \\new PianoStaff << {staves} >> \\layout {{ }} }}\n"
