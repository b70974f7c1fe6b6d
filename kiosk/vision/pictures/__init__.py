"""Pictures as arrays and as files."""
