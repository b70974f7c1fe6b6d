"""The drawing toolkit of all screens."""
