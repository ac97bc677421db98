"""What settings and options share: words to choose from. Apart from :mod:`.config`, since ``--help`` needs no more."""

from __future__ import annotations

FILE_NAME = "lyfinger.toml"
HAND_SIZES = ("small", "medium", "large")
LEVELS = ("learner", "standard", "advanced")
DENSITIES = ("all", "placings", "needed")
CHORDS = ("stacked", "behind", "left")
