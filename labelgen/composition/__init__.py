"""Resolve: ``Kitchen`` -> resolved ingredients. Decides what 100 g of each contains, from where, how
surely.
"""
