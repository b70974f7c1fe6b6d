"""The sitter's way through a session, as one pure step."""
