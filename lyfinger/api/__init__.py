"""The Python interface, reached as ``lyfinger.read``, ``lyfinger.mark``, ``lyfinger.check`` and ``lyfinger.explain``.

Nothing here reads standard input, prints, or writes a file. What can't be done raises :class:`Refused`, whose text is
the one line that the command line says. Names, fields and meanings are kept within a minor version.
"""

from .calls import check, explain, mark, read
from .results import Cost, Figure, Finding, Marked, MarkedFile, Music, Other, PrintedNote, Refused, Severity, Text

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
    "check",
    "explain",
    "mark",
    "read",
]
