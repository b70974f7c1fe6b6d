"""Printers through CUPS: nothing is scaled, and every job is watched to its end."""
