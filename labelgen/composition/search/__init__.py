"""Food search: what a baker types -> ranked foods."""
