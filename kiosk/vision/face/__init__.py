"""The aligned face, and crops of it."""
