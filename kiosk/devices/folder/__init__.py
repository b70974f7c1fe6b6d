"""Folders as devices: a printer that keeps the sheet as a file, a camera whose pictures come in as files."""
