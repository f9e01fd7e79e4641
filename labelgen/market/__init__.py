"""Declare: ``NutrientProfile`` -> ``Declaration``. Decides what one market's law, on one date, makes of
it.
"""
