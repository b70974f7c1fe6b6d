"""The layout of photos on paper, in millimetres."""
