"""Holdstill: a kiosk that photographs a sitter until the picture conforms, then prints it at true scale."""

__version__ = "0.1.0"
