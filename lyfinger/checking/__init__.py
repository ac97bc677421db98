"""Findings that a harpist would send back."""
