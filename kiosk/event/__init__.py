"""What only an event has."""
