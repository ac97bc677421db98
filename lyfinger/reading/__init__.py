"""LilyPond source into a score: tokens, syntax tree, interpretation."""
