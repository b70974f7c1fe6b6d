"""Webcams, by the operating system's own video interface."""
