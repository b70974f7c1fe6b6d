"""The operating system: clock, files, log, service manager."""
