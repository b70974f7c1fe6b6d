"""Display, input and sound."""
