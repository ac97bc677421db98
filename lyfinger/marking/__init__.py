"""Digits into the source: where they go, on which side, and the proof that nothing else changed."""
