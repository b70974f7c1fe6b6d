"""Measurements of pictures: faces, head points, pose, expression, background, light and sharpness."""
