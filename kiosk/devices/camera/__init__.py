"""What every camera has in common: its child process and the supervision of it."""
