"""The processing of pictures by vision and render, in the worker's thread."""
