"""One file a screen of the sitter's."""
