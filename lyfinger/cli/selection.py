"""Which findings of a check are asked for: the command line's word, else that of ``[check]``."""

from __future__ import annotations

import argparse

from ..checking.selection import Names, Selection, configured, selection
from ..config import Config


def selection_of(options: argparse.Namespace, config: Config) -> Selection:
    """What ``--select`` and ``--ignore`` say, each in place of the same key of the configuration.

    Raises Refused for a name that no rule has.
    """
    chosen = configured(config.select, "select", config.places)
    ignored = configured(config.ignore, "ignore", config.places)
    return selection(
        chosen if options.select is None else Names(options.select),
        ignored if options.ignore is None else Names(options.ignore),
    )
