"""The documents and badge designs that are known."""
