"""What the program needs of the operating system: clock, files, log, service manager."""
