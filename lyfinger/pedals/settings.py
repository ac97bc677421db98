"""Times that the rules for feet and for levers go by, each with its source."""

from __future__ import annotations

#: Milliseconds from one move of a foot to its next: about two moves a second, four with both feet. Published:
#: E. Volpé Bligh, Writing for the Pedal Harp.
PEDAL_MS = 500
#: Milliseconds within which a string that has ended still rings enough to buzz. From memory.
BUZZ_MS = 300
#: Milliseconds around a move in which plucked notes make it a busy moment. A setting of ours.
BUSY_MS = 500
#: Milliseconds for which a string that is let ring (l.v.) counts as sounding at most. From memory.
RING_MS = 4000
#: Milliseconds that a hand needs for one lever, there and back. From memory.
LEVER_MS = 700
