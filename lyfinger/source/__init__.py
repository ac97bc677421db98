"""The score's files as bytes: decoding, places, insertions, and writing back without loss."""
