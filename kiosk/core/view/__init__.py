"""Frozen views that the screens and the page draw."""
