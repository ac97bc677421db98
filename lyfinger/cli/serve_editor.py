"""``lyfinger serve-editor``: findings, reasons and fingerings inside an editor."""

from __future__ import annotations

import argparse
import importlib.util

from ..source.messages import Refused
from .exit import Exit


def serve_editor(options: argparse.Namespace) -> int:
    """Run ``lyfinger serve-editor`` until the editor goes away; returns the exit status. Raises Refused."""
    if importlib.util.find_spec("pygls") is None:
        raise Refused("serve-editor needs pygls: pip install 'lyfinger[editor]'")
    from ..editor.analysis import Wishes
    from ..editor.server import serve

    config = options.config.absolute() if options.config else None
    serve(Wishes(tuple(options.include_dirs), options.hand, config))
    return Exit.DONE
