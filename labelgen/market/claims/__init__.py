"""Claims: read, judged on the worst end of what is known, and what they cost."""
