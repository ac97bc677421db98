"""Put finger numbers into LilyPond source of harp parts.

The folders read like the data's journey: ``source`` (bytes, places, edits) → ``reading``
(tokens, syntax, interpretation) → ``score`` (what is printed, when, on which staff) → ``hands`` →
``harp`` and ``fingering`` → ``marking`` (digits back into the source) → ``cli``.
Imports point along that arrow only.

``lyfinger.read``, ``mark``, ``check`` and ``explain`` do from Python what the commands do; see ``lyfinger.api``, which
is loaded when it is first asked for.
"""

from __future__ import annotations

TYPE_CHECKING = False  # typing's own takes time to import, and every start of the program comes by here
if TYPE_CHECKING:
    from .api import (
        Cost,
        Figure,
        Finding,
        Marked,
        MarkedFile,
        Music,
        Other,
        PrintedNote,
        Refused,
        Severity,
        Text,
        check,
        explain,
        mark,
        read,
    )

__all__ = [
    "Cost",
    "Figure",
    "Finding",
    "Marked",
    "MarkedFile",
    "Music",
    "Other",
    "PrintedNote",
    "Refused",
    "Severity",
    "Text",
    "__version__",
    "check",
    "explain",
    "mark",
    "read",
]

__version__ = "0.1.0"


if not TYPE_CHECKING:  # a checker of types is to see a misspelt name as one

    def __getattr__(name: str) -> object:
        if name != "api" and name not in __all__:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        from importlib import import_module

        api = import_module(".api", __name__)
        return api if name == "api" else getattr(api, name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
