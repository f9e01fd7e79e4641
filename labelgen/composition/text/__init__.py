"""Packet text: words, clauses and statements, and the allergens and kinds of ingredient found in them."""
