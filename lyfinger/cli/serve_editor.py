"""``lyfinger serve-editor``: findings, reasons and fingerings inside an editor."""

from __future__ import annotations

import argparse
import gc
import importlib.util

from ..source.messages import Refused
from .exit import Exit

_SERVING = 100_000
"""As ``main.SELDOM``, for a process that goes on: what an analysis leaves behind mustn't pile up."""


def serve_editor(options: argparse.Namespace) -> int:
    """Run ``lyfinger serve-editor`` until the editor goes away; returns the exit status. Raises Refused."""
    if importlib.util.find_spec("pygls") is None:
        raise Refused("serve-editor needs pygls: pip install 'lyfinger[editor]'")
    from ..editor.analysis import Wishes
    from ..editor.server import serve

    gc.set_threshold(_SERVING)
    config = options.config.absolute() if options.config else None
    serve(Wishes(tuple(options.include_dirs), options.hand, config))
    return Exit.DONE
