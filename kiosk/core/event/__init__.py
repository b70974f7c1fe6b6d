"""An event's roster and badges."""
