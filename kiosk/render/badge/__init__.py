"""Badges."""
