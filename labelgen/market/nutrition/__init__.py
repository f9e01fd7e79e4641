"""The nutrition panel: serving, rows, energy, what the front of a pack shows; a supplier's panel read
backwards.
"""
