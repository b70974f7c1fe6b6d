"""A printer that keeps the sheet as a file."""
