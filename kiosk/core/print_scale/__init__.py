"""Whether a printer is true to scale."""
