"""Measures of the background beside the head."""
