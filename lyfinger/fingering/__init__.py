"""Which finger takes which string: placings, rules with costs, and the exact search."""
