"""One measure a file."""
