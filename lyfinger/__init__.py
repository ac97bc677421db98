"""Put finger numbers into LilyPond source of harp parts.

The folders read like the data's journey: ``source`` (bytes, places, edits) → ``reading``
(tokens, syntax, interpretation) → ``score`` (what is printed, when, on which staff) → ``hands`` →
``harp`` and ``fingering`` → ``marking`` (digits back into the source) → ``cli``.
Imports point along that arrow only.
"""

__version__ = "0.1.0"
