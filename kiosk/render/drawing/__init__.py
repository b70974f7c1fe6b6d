"""Canvas, text, PDF and raster."""
