"""Roll up: resolved ingredients -> ``NutrientProfile``. Decides what the finished piece weighs and
contains.
"""
