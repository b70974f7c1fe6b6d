"""Cameras and printers: one protocol each, one folder per backend."""
