"""Lay out: ``Declaration`` and stock -> ``PageLayout``. Decides which legal format fits, every box in
points.
"""
