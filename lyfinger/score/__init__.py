"""What the source says: notes with pitch, moment, staff and voice, as the typesetter would print them."""
