"""Values that everything uses."""
