"""The player's level and the ``[rules]`` of a configuration: what they make of the one table of weights.

A level is nothing but weights (lyfinger.fingering.weights has the unit: thousandths for each that a rule counts).
``standard`` is the table as it stands. What a level changes is common practice of teaching, no source; the numbers are
from memory, tried on scales, arpeggios and the samples.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ..config import Config
from ..fingering.weights import WEIGHTS
from ..source.messages import Refused

LEVELS: Mapping[str, Mapping[str, int]] = {
    # Placings of two and three, set anew without fear; the thumb's slide, but no other finger's; nothing wide, no
    # turning inside a shape, no thumb left out.
    "learner": {
        "placing": 4,
        "short-placing": 3,
        "four-string-placing": 400,
        "slide-up": 120,
        "turn": 100,
        "stretch": 30,
        "gap-between-fingers": 30,
        "hop": 30,
        "thumb-on-top": 600,
    },
    "standard": {},
    # Long placings, and slides where they save one; a trained hand opens further and changes its shape with less ado.
    "advanced": {
        "placing": 8,
        "slide": 8,
        "slide-up": 8,
        "stretch": 16,
        "gap-between-fingers": 16,
        "shape-change": 350,
        "trained-pair": 3,
    },
}
"""For each level the weights that differ from the table."""


def weights_of(config: Config) -> tuple[tuple[str, int], ...]:
    """The weights of a configuration, those of ``[rules]`` before those of its level.

    Raises Refused, with the line, for a rule that the search does not know.
    """
    for name in config.rules:
        if name not in WEIGHTS:
            text = f"no rule of the search is called {name}{did_you_mean(name, WEIGHTS)}"
            raise Refused(text, config.places.get(f"rules.{name}"))
    return tuple(sorted({**LEVELS[config.level], **config.rules}.items()))


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """A question to end a refusal with, empty where nothing known is like ``name``.

    >>> did_you_mean("cross-undr", WEIGHTS)
    '; did you mean cross-under?'
    """
    from difflib import get_close_matches

    found = get_close_matches(name.lower().replace("_", "-").replace(" ", "-"), list(known), n=1, cutoff=0.7)
    return f"; did you mean {found[0]}?" if found else ""
