"""From a plan to one page to look at: the engraved music, what every digit asks of a hand, and what else there is."""
