"""The sitter's screens, one per file."""
