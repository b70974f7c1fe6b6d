"""A document's rules as values."""
