"""From what was weighed in a small kitchen to what may truthfully be printed on the label."""

__version__ = "0.3.0"
