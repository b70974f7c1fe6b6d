"""Measurements of targets that are not faces: backdrop, grey card and ruler page."""
