"""Pictures on their way through vision and render, in the worker's thread."""
