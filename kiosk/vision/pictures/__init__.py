"""Pictures: arrays, colour profiles and files."""
