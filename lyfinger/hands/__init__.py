"""Which hand plays a note."""
