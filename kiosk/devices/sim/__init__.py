"""A simulated booth visitor and the camera that sees them; devices, not mocks: they behave, and obey."""
