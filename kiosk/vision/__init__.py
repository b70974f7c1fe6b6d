"""Arrays in, measurements out: faces, head points, pose, expression, background, light and sharpness."""
