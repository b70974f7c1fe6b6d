"""Access to display, input and sound."""
