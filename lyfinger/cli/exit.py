"""The exit status."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """Done; something found (errors, or a difference); refused."""

    DONE = 0
    FOUND = 1
    REFUSED = 2
