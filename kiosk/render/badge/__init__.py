"""The drawing of badges."""
