"""Hands a sitter's file over, to a phone or a USB stick, in a process that lives as long as one file."""
