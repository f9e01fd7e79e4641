"""The ingredient statement: entries by weight, additives, groups, quantities in percent."""
