"""Printers through CUPS: the medium chosen by size, nothing scaled, every job watched to its end."""
