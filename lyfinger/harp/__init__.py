"""The instrument and the hand on it: strings, spacing, reach."""
