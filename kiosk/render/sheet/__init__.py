"""Photos, sheets, and files for upload or a laboratory."""
