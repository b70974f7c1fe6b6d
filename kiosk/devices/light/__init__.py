"""The booth's light: lamps and a flash on GPIO lines, and the camera that waits for them."""
