"""Drawing primitives: canvas, text, PDF and raster pages."""
