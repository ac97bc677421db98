"""The seven pedals, and the levers: what they must be, when they can move, and how the page says so."""
