"""Allergens under one market's law: declaration, cross-contact, emphasis, old labels, the poster's matrix."""
