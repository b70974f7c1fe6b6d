"""What leaves the booth: photos, sheets, files and reports."""
