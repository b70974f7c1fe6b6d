"""The aligned face and parts of it."""
