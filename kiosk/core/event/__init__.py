"""Roster and badges of an event."""
