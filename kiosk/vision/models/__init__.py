"""What runs a network."""
