"""An event's roster, shared by its stations, and the photos exported for the organiser."""
