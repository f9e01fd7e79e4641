"""Hand a declaration on in the forms other programs read: JSON with its schema, CSV, JSON-LD, plain text."""
