"""What every screen is drawn with."""
