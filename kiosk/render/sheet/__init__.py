"""Photos, sheets and files to upload."""
