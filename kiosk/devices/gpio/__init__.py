"""Lines of GPIO chips, through libgpiod: relays and optocouplers that the booth switches."""
