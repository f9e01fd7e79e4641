"""Nutrition panels, one module an arrangement."""
