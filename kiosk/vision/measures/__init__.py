"""The measures of a picture, one per file."""
