"""Everything that leaves the booth: photos, sheets, badges, files and reports."""
