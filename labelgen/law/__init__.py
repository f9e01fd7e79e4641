"""The rule packs: reading a market's dated tables, finding their sources, rounding by them."""
