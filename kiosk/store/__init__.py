"""Stored data: what is kept, for how long, and how it is destroyed."""
