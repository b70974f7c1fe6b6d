"""Frozen views, from which the screens and the attendant's page are drawn."""
