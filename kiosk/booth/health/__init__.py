"""Why the booth is out of order, and when it is not any more."""
